/* cordwain draw: parts, sheets, rows and seams as pictures. */
#include <langinfo.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "base/file.h"
#include "cli/propose.h"
#include "figure/picture_line.h"

static const char help[] =
    "  cordwain draw styles/skerry.yaml\n"
    "  cordwain draw styles/skerry.yaml 'part vamp'\n"
    "  cordwain draw styles/skerry.yaml 'bend vamp.throat.1' --size 36\n"
    "  cordwain draw styles/skerry.yaml 'row heel-patch.1' --factory harbour\n"
    "  cordwain draw styles/skerry.yaml 'seam collar' --alternative turned --as svg -o collar.svg\n"
    "  cordwain draw styles/skerry.yaml 'edge vamp.cap-line' --alternative turned --propose 9\n"
    "\n"
    "Draws a place of a style, as check and explain name it: a part, an edge, a bend, holes, a\n"
    "seam, a row, a spot or a sheet. A bare name does where only one thing is called so. Without a\n"
    "place it draws every sheet. Parts, edges, bends, holes and sheets need drawn lines. Of a row or\n"
    "a seam it draws the stack along it, where lines are drawn, and the layers across it at the\n"
    "highest place.\n"
    "\n"
    "  --size N              a size of the run; else the base size\n"
    "  --colourway NAME      else the first\n"
    "  --as text|svg         characters for the terminal, or one SVG file\n"
    "  -o FILE               writes a file; never replaces one\n"
    "  --factory NAME|FILE   whose machines' limits are shown\n"
    "  --plain               no braille, plain letters\n"
    "  --propose RADIUS      the line of an edge, or of one bend, with no bend tighter than RADIUS\n"
    "                        (mm), over the drawn one, and what is judged with it; `least` finds\n"
    "                        the radius; --as svg writes a drawing to lay over the style's own\n"
    "  --within MM           how far a proposed line may lie off the drawn one\n"
    "  --alternative, --stage, --rules as everywhere\n";

/* ---- What can be drawn ---- */

typedef struct Place {
    const char *name, *id; /* "bend vamp.throat.1", "vamp.throat.1" */
    const Record *record;  /* NULL: a sheet */
    const Sheet *sheet;
} Place;

typedef struct Places {
    Place *items;
    size_t count, capacity;
} Places;

static void add_place(Arena *arena, Places *places, const char *kind, const char *id,
                      const Record *record, const Sheet *sheet)
{
    *ARENA_PUSH(arena, places->items, places->count, places->capacity) =
        (Place){arena_printf(arena, "%s %s", kind, id), id, record, sheet};
}

static Places places_of(Arena *arena, const Style *style)
{
    static const Subject drawn[] = {SUBJECT_PART, SUBJECT_SEAM, SUBJECT_ROW, SUBJECT_EDGE,
                                    SUBJECT_BEND, SUBJECT_HOLE, SUBJECT_SPOT};
    Places places = {0};
    for (size_t i = 0; i < sizeof drawn / sizeof *drawn; i++) {
        const RecordList *list = &style->lists[drawn[i]];
        for (size_t k = 0; k < list->count; k++)
            if (!list->items[k]->placeholder)
                add_place(arena, &places, subject_name(drawn[i]), list->items[k]->path,
                          list->items[k], NULL);
    }
    for (size_t i = 0; i < style->sheet_count; i++)
        add_place(arena, &places, "sheet", style->sheets[i].name, NULL, &style->sheets[i]);
    return places;
}

/* ---- Which place is meant ---- */

static void complain(const char *word, const char *what, const char *more)
{
    Text text = {0};
    text_add(&text, "cordwain: ");
    text_add_visible(&text, word, strlen(word));
    text_addf(&text, " %s", what);
    text_add_visible(&text, more, strlen(more));
    fprintf(stderr, "%s\n", text.bytes);
    text_free(&text);
}

static size_t same_start(const char *one, const char *other)
{
    size_t length = 0;
    while (one[length] != '\0' && one[length] == other[length])
        length++;
    return length;
}

/* "vamp.throat" ends as "throat" does. */
static bool ends_as(const char *id, const char *word)
{
    size_t length = strlen(id), end = strlen(word);
    return length > end && id[length - end - 1] == '.' && strcmp(id + length - end, word) == 0;
}

/* The first that ends so, else the nearest by name, or without its kind; else the one
 * that starts alike beyond its kind. NULL: none. */
static const char *place_meant(Arena *arena, const Places *places, const char *word)
{
    const char **names = ARENA_NEW(arena, const char *, places->count);
    const char **ids = ARENA_NEW(arena, const char *, places->count);
    const char *alike = NULL;
    size_t longest = strcspn(word, " ") + 1;
    for (size_t i = 0; i < places->count; i++) {
        names[i] = places->items[i].name;
        ids[i] = places->items[i].id;
        if (ends_as(ids[i], word))
            return names[i];
        if (same_start(names[i], word) > longest) {
            longest = same_start(names[i], word);
            alike = names[i];
        }
    }
    const char *near = nearest_word(word, names, places->count);
    const char *near_id = near == NULL ? nearest_word(word, ids, places->count) : NULL;
    for (size_t i = 0; near_id != NULL && near == NULL && i < places->count; i++)
        near = strcmp(ids[i], near_id) == 0 ? names[i] : NULL;
    return near != NULL ? near : alike;
}

static const Place *place_find(Arena *arena, const Places *places, const char *word)
{
    const Place *found = NULL;
    Text also = {0};
    size_t called_so = 0;
    for (size_t i = 0; i < places->count; i++) {
        const Place *place = &places->items[i];
        if (strcmp(place->name, word) == 0) {
            text_free(&also);
            return place;
        }
        if (strcmp(place->id, word) != 0)
            continue;
        found = place;
        text_addf(&also, "%s'%s'", called_so++ > 0 ? " or " : "", place->name);
    }
    if (called_so > 1) {
        complain(word, "is the name of several places: write ", text_string(&also));
        found = NULL;
    } else if (called_so == 0) {
        const char *near = place_meant(arena, places, word);
        complain(word, near != NULL ? "is no place of this style; did you mean "
                                    : "is no place of this style that can be drawn; cordwain draw "
                                      "--help shows some",
                 near != NULL ? arena_printf(arena, "'%s'?", near) : "");
    }
    text_free(&also);
    return found;
}

/* "edge", "vamp.throat" count as one place too. */
static const char *words_as_place(Arena *arena, const Options *options)
{
    if (options->word_count == 3)
        return arena_printf(arena, "%s %s", options->words[1], options->words[2]);
    return options->word_count == 2 ? options->words[1] : NULL;
}

/* ---- Size and colourway ---- */

static bool no_such(const char *word, const char *what, const char *const *known, size_t count)
{
    Text text = {0};
    add_known_names(&text, word, known, count);
    complain(word, what, text_string(&text));
    text_free(&text);
    return false;
}

static bool set_lane(Arena *arena, const Options *options, PictureBase *base)
{
    const Columns *columns = measured_columns(base->measured);
    const char **sizes = ARENA_NEW(arena, const char *, columns->lane_count);
    const char **colourways = ARENA_NEW(arena, const char *, columns->lane_count);
    size_t size_count = 0, colourway_count = 0;
    bool size = options->size == NULL, colourway = options->colourway == NULL;
    base->size = measured_base_size(base->measured);
    for (uint32_t i = 0; i < columns->lane_count; i++) {
        const Lane *lane = &columns->lanes[i];
        sizes[lane->size_index] = lane->size;
        colourways[lane->colourway_index] = lane->colourway;
        size_count = lane->size_index >= size_count ? (size_t)lane->size_index + 1 : size_count;
        colourway_count = lane->colourway_index >= colourway_count
                              ? (size_t)lane->colourway_index + 1 : colourway_count;
        if (options->size != NULL && strcmp(lane->size, options->size) == 0) {
            base->size = lane->size_index;
            size = true;
        }
        if (options->colourway != NULL && strcmp(lane->colourway, options->colourway) == 0) {
            base->colourway = lane->colourway_index;
            colourway = true;
        }
    }
    if (!size && sizes[0][0] == '\0')
        complain(options->size, "is no size of this style: it gives none", "");
    else if (!size)
        no_such(options->size, "is no size of this style", sizes, size_count);
    if (!size)
        return false;
    return colourway || no_such(options->colourway, "is no colourway of this style", colourways,
                                colourway_count);
}

/* ---- Drawing ---- */

typedef struct Pictures {
    Figure *items;
    size_t count, capacity;
} Pictures;

static void add_picture(Arena *arena, Pictures *pictures, Figure figure)
{
    *ARENA_PUSH(arena, pictures->items, pictures->count, pictures->capacity) = figure;
}

/* Every sheet, and parts that lie on none. */
static void draw_all(Arena *arena, const PictureBase *base, Pictures *pictures)
{
    Text why = {0};
    Figure figure;
    for (size_t i = 0; i < base->style->sheet_count; i++)
        if (picture_sheet(arena, base, &base->style->sheets[i], &figure, &why))
            add_picture(arena, pictures, figure);
    for (size_t i = 0; i < base->style->drawn_count; i++)
        if (base->style->drawn[i].sheet == NULL &&
            picture_part(arena, base, base->style->drawn[i].part, NULL, &figure, &why))
            add_picture(arena, pictures, figure);
    text_free(&why);
}

static void draw_place(Arena *arena, const PictureBase *base, const Place *place,
                       Pictures *pictures)
{
    Figure figures[PICTURES_OF_PLACE];
    Text why = {0};
    size_t count = place->sheet != NULL
                       ? picture_sheet(arena, base, place->sheet, &figures[0], &why)
                       : picture_place(arena, base, place->record, figures, &why);
    for (size_t i = 0; i < count; i++)
        add_picture(arena, pictures, figures[i]);
    if (count == 0)
        complain(place->name, "cannot be drawn: ", text_string(&why));
    text_free(&why);
}

/* ---- Writing ---- */

static int width_of_terminal(void)
{
    enum { FIXED = 80, LEAST = 40, MOST = 240 };
    struct winsize size;
    if (!isatty(STDOUT_FILENO) || ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0)
        return FIXED;
    return size.ws_col < LEAST ? LEAST : size.ws_col > MOST ? MOST : size.ws_col;
}

/* A graph needs less height than what is drawn to scale. */
static void write_text(Text *out, const Options *options, const Pictures *pictures)
{
    enum { GRAPH_MOST = 24, PICTURE_MOST = 60 };
    bool ascii = options->plain || strcmp(nl_langinfo(CODESET), "UTF-8") != 0;
    int width = options->output != NULL ? 80 : width_of_terminal();
    for (size_t i = 0; i < pictures->count; i++) {
        const Figure *figure = &pictures->items[i];
        bool graph = !(figure->stretch > 0);
        int height = graph ? width / 4 : width * 9 / 20, most = graph ? GRAPH_MOST : PICTURE_MOST;
        CellStyle style = {ascii, width, height < most ? height : most};
        text_add(out, i > 0 ? "\n" : "");
        figure_text(out, figure, style);
    }
}

/* The height that an <svg> element says it has, mm. */
static double height_of(const char *svg)
{
    const char *height = strstr(svg, "height=\"");
    return height != NULL ? strtod(height + strlen("height=\""), NULL) : 0;
}

/* One file: the pictures one below another, with a margin. */
static void write_svg(Text *out, const Pictures *pictures)
{
    static const double width = 180, margin = 8, px_a_mm = 96 / 25.4;
    double top = margin;
    Text inner = {0};
    for (size_t i = 0; i < pictures->count; i++) {
        Text one = {0};
        figure_svg(&one, &pictures->items[i], width, false);
        text_addf(&inner, "<g transform=\"translate(%.2f %.2f)\">\n%s</g>\n", margin * px_a_mm,
                  top * px_a_mm, one.bytes);
        top += height_of(one.bytes) + margin;
        text_free(&one);
    }
    text_addf(out,
              "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
              "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%.0fmm\" height=\"%.2fmm\">\n"
              "<rect width=\"100%%\" height=\"100%%\" fill=\"#ffffff\"/>\n%s</svg>\n",
              width + 2 * margin, top, text_string(&inner));
    text_free(&inner);
}

static int write_out(const Options *options, const Text *out, Messages *messages)
{
    if (options->output != NULL && strcmp(options->output, "-") != 0)
        return file_create(options->output, out->bytes, out->length, messages) ? 0 : EXIT_INPUT;
    return print_all(out, 0);
}

static int write_pictures(const Options *options, const Pictures *pictures, Messages *messages)
{
    Text out = {0};
    if (options->form == OUTPUT_SVG)
        write_svg(&out, pictures);
    else
        write_text(&out, options, pictures);
    int status = write_out(options, &out, messages);
    text_free(&out);
    return status;
}

/* ---- Another line ---- */

static void add_line_pictures(Arena *arena, const PictureBase *base, const ProposedLine *proposed,
                              Pictures *pictures)
{
    Text why = {0};
    Figure figure;
    for (size_t i = 0; i < proposed->count; i++) {
        const LineChange *change = &proposed->changes[i];
        if (change->reason != LINE_IN_PLACE &&
            picture_line(arena, base, change->edge, &change->rounded, &figure, &why))
            add_picture(arena, pictures, figure);
    }
    text_free(&why);
}

static void add_words(Text *out, const Options *options, const ProposedLine *proposed, double radius)
{
    Text words = {0};
    text_addf(&words, "\nProposed: every bend at least ");
    text_add_number(&words, radius, 4);
    text_add(&words, " mm, with the ends where they are.\n");
    proposed_say(&words, proposed);
    char *line = words.bytes;
    for (char *end; (end = strchr(line, '\n')) != NULL; line = end + 1) {
        *end = '\0';
        int indent = (int)strspn(line, " ");
        Text visible = {0};
        text_add_visible(&visible, line + indent, strlen(line + indent));
        text_addf(out, "%*s", indent, "");
        text_add_wrapped(out, text_string(&visible), options->columns - indent, indent + 2);
        text_add(out, "\n");
        text_free(&visible);
    }
    text_free(&words);
}

static int draw_proposed(const Options *options, Arena *arena, const PictureBase *base,
                         const Case *loaded, const Record *place, Messages *messages)
{
    double radius = 0;
    Pictures pictures = {0};
    Text out = {0};
    ProposedLine *proposed = propose(options, loaded, place, &radius);
    if (proposed == NULL)
        return EXIT_OPEN;
    if (options->form == OUTPUT_SVG) {
        proposed_drawing(&out, proposed);
    } else {
        add_line_pictures(arena, base, proposed, &pictures);
        write_text(&out, options, &pictures);
        add_words(&out, options, proposed, radius);
    }
    int status = write_out(options, &out, messages);
    for (size_t i = 0; i < pictures.count; i++)
        figure_free(&pictures.items[i]);
    proposed_free(proposed);
    text_free(&out);
    return status;
}

static int draw(const Options *options, Arena *arena, PictureBase *base, const Case *loaded,
                Messages *messages)
{
    Pictures pictures = {0};
    const char *word = words_as_place(arena, options);
    if (!set_lane(arena, options, base))
        return EXIT_INPUT;
    if (word == NULL) {
        draw_all(arena, base, &pictures);
        if (pictures.count == 0)
            complain(options->words[0], "has no drawn lines in this size; name a seam or a row to "
                                        "see its layers", "");
    } else {
        Places places = places_of(arena, base->style);
        const Place *place = place_find(arena, &places, word);
        if (place != NULL && options->propose != NULL && place->record != NULL)
            return draw_proposed(options, arena, base, loaded, place->record, messages);
        if (place != NULL && options->propose != NULL)
            complain(place->name, "is no edge: --propose takes an edge or a bend", "");
        else if (place != NULL)
            draw_place(arena, base, place, &pictures);
    }
    int status = pictures.count > 0 ? write_pictures(options, &pictures, messages) : EXIT_INPUT;
    for (size_t i = 0; i < pictures.count; i++)
        figure_free(&pictures.items[i]);
    return status;
}

static int run(const Options *options)
{
    if (options->word_count == 0 || options->word_count > 3) {
        fputs("cordwain: draw takes a style, then a place in quotes\n", stderr);
        return EXIT_INPUT;
    }
    if (!propose_options(options))
        return EXIT_INPUT;
    if (options->propose != NULL && options->word_count == 1) {
        fputs("cordwain: --propose needs an edge or a bend in quotes behind the style\n", stderr);
        return EXIT_INPUT;
    }
    Messages messages = {0};
    Case loaded = {0};
    Arena arena = {0};
    int status = EXIT_INPUT;
    if (case_rules(options, &loaded, &messages) &&
        case_style(options, options->words[0], &loaded, &messages)) {
        PictureBase base = {.style = loaded.style,
                            .factory = loaded.factory,
                            .measured = loaded.judgement->measured};
        status = draw(options, &arena, &base, &loaded, &messages);
    }
    arena_free(&arena);
    case_free(&loaded);
    return finish(&messages, status);
}

const Command command_draw = {"draw", "STYLE [PLACE]", "a part, a seam or a sheet as a picture",
                              "--as=text|svg --size --colourway --propose --within -o", help, run};
