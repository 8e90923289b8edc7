/* cordwain draw --propose: a rounder line for a drawn edge. For draw. */
#include <math.h>
#include <string.h>

#include "cli/propose.h"

static const char least_word[] = "least";

static void complain(const char *place, const char *what)
{
    Text text = {0};
    text_add(&text, "cordwain: ");
    text_add_visible(&text, place, strlen(place));
    text_add(&text, ": ");
    text_add_visible(&text, what, strlen(what));
    fprintf(stderr, "%s\n", text.bytes);
    text_free(&text);
}

/* "9 mm", "0.35 in", "9". */
static bool read_length(const char *option, const char *word, double *mm)
{
    QuantityForm form = {.shown = unit_find("mm", 2), .bare_length = unit_find("mm", 2)};
    Quantity quantity = {0};
    Text problem = {0};
    form.dimension = form.shown->dimension;
    bool good = quantity_read(word, strlen(word), &form, &quantity, &problem);
    if (good && (!(quantity.nominal > 0) || quantity.tolerance == TOLERANCE_GIVEN)) {
        text_add(&problem, "it takes one length of more than 0 mm, without a tolerance");
        good = false;
    }
    if (!good)
        complain(option, text_string(&problem));
    text_free(&problem);
    *mm = quantity.nominal;
    return good;
}

bool propose_options(const Options *options)
{
    double mm;
    if (options->propose == NULL && options->within != NULL) {
        complain("--within", "goes with --propose");
        return false;
    }
    return options->propose == NULL ||
           ((strcmp(options->propose, least_word) == 0 ||
             read_length("--propose", options->propose, &mm)) &&
            (options->within == NULL || read_length("--within", options->within, &mm)));
}

ProposedLine *propose(const Options *options, const Case *loaded, const Record *place,
                      double *radius)
{
    RemedyGround ground = {.file = loaded->style->file,
                           .alternative = loaded->style->alternative,
                           .patches = loaded->patches,
                           .patch_count = loaded->patch_count,
                           .judgement = loaded->judgement};
    LineWish wish = {.place = place, .within = INFINITY};
    Text why = {0};
    ProposedLine *proposed;
    if (options->within != NULL)
        read_length("--within", options->within, &wish.within);
    if (strcmp(options->propose, least_word) == 0) {
        proposed = proposed_least(&ground, &wish, radius, &why);
    } else {
        read_length("--propose", options->propose, radius);
        wish.hollow = wish.rounded = *radius;
        proposed = proposed_line(&ground, &wish, &why);
    }
    if (proposed == NULL)
        complain("no line is proposed", text_string(&why));
    text_free(&why);
    return proposed;
}
