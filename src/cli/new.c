/* cordwain new: a commented style to start from. */
#include <string.h>

#include "base/file.h"
#include "cli/cli.h"

static const char help[] = "  cordwain new > my-style.yaml\n"
                           "  cordwain new -o my-style.yaml\n"
                           "  cordwain new --material canvas,twill-lining=sock-lining -o my-style.yaml\n"
                           "\n"
                           "Writes a small commented style. -o never replaces a file.\n"
                           "--material adds kinds of the catalogue to its materials, as ranges for you to\n"
                           "measure; cordwain materials lists the kinds, and writes them into other styles.\n";

/* Kept small enough to be read whole; every value is an invented example. The first line tells
 * editors where the schema is installed; to us it is a comment. */
static const char template[] =
    "# yaml-language-server: $schema=" CORDWAIN_DATA "/schemas/style.schema.json\n"
    "cordwain: style/1\n"
    "# A style to start from, invented. Whatever you do not know yet: write unknown.\n"
    "# Unknown is never a pass: the report says who must find out.\n"
    "# What else can be written: cordwain fields\n"
    "name: Untitled style\n"
    "code: NEW-1\n"
    "stage: pull-over                # pull-over, fit-sample, confirmation-sample, production\n"
    "wear: socked                    # barefoot or socked\n"
    "wearer: adult                   # adult or child\n"
    "last: {code: unknown, length: 280 mm, girth: 250 mm, toe_radius: unknown}\n"
    "sizes: {system: paris-point, base: 42, from: 40, to: 44}\n"
    "bottom: {kept: false, lasting: cement, feather: unknown, wipes: heat}\n"
    "\n"
    "# Tolerances: 1.4 \302\261 0.1 mm, 1.3..1.5 mm, exactly 1.4 mm. A bare 1.4 mm takes the house's.\n"
    "materials:\n"
    "  upper-leather: {kind: leather, thickness: 1.4 \302\261 0.1 mm, stretch: {along: 15 %, across: 25 %}, "
    "breaks_at: 60 %, folds: true, frays: false, compresses: 0..10 %}\n"
    "  lining-leather: {kind: leather, thickness: 0.8 \302\261 0.1 mm, stretch: unknown, breaks_at: unknown, "
    "folds: true, frays: false, compresses: 0..10 %}\n"
    "\n"
    "parts:\n"
    "  vamp:\n"
    "    role: upper\n"
    "    material: upper-leather\n"
    "    layer: 2                    # 1 lies next to the foot\n"
    "    pieces: 1\n"
    "    narrowest: 40 mm\n"
    "    edges:\n"
    "      throat:\n"
    "        finish: folded          # raw, folded, turned, bound, piped, welded, lasted, fold-line\n"
    "        length: 90 mm\n"
    "        bends: [{curve: inward, radius: 12 mm, turn: 180 deg, at: 45 mm}]\n"
    "        allowance: 5 mm\n"
    "        relief: clipped         # clipped, notched, pleated, mitred, patched, none\n"
    "        skive: {width: 12 mm, left: 0.9 mm, form: step}\n"
    "        grade: hold             # hold: same radius in every size; scale: grows with the last\n"
    "        sight: vamp\n"
    "  vamp-lining:\n"
    "    role: lining\n"
    "    material: lining-leather\n"
    "    layer: 1\n"
    "    pieces: 1\n"
    "    narrowest: 40 mm\n"
    "    edges:\n"
    "      throat: {finish: raw, length: 90 mm, bends: [], allowance: 2.5 mm, sight: other}\n"
    "\n"
    "# Edges are named part.edge, the top ply first.\n"
    "seams:\n"
    "  throat-row:\n"
    "    join: trimmed               # lapped, closed, turned, butted, bound, welded, cemented, trimmed\n"
    "    edges: [vamp.throat, vamp-lining.throat]\n"
    "    zone: instep                # toe, ball, instep, ankle, tendon, heel, none\n"
    "    rows: [{does: seam, from_edge: 2 mm, stitch: 301, pitch: 2 mm, needle: 90 Nm, thread: 40 tex}]\n"
    "    # Which plies lie under the foot, and where along the row: without spots steps are unknown.\n"
    "    spots: [{at: 5 mm, plies: [{part: vamp, times: 2}, vamp-lining]}]\n"
    "\n"
    "# Another way to build it: the same style with some values changed.\n"
    "alternatives:\n"
    "  raw-throat:\n"
    "    parts.vamp.edges.throat.finish: raw\n";

/* The template with the materials of the catalogue that are asked for. */
static bool add_style(Text *out, const Options *options, Messages *messages)
{
    const NameList *wanted = &options->materials;
    if (wanted->count == 0) {
        text_add(out, template);
        return true;
    }
    Arena arena = {0};
    const CatalogueChoice *choices;
    const YamlFile *style =
        yaml_read_bytes(&arena, "the new style", template, strlen(template), false, messages);
    Catalogue *catalogue = catalogue_of(options, messages);
    bool good = style != NULL && catalogue != NULL &&
                catalogue_choices(catalogue, &arena, wanted->items, wanted->count, &choices,
                                  messages) &&
                catalogue_text(style, choices, wanted->count, out, messages);
    catalogue_free(catalogue);
    arena_free(&arena);
    return good;
}

static int run(const Options *options)
{
    if (options->word_count > 0) {
        fputs("cordwain: new takes no words; the file goes after -o\n", stderr);
        return EXIT_INPUT;
    }
    Text out = {0};
    Messages messages = {0};
    bool prints = options->output == NULL || strcmp(options->output, "-") == 0;
    bool good = add_style(&out, options, &messages) &&
                (prints || file_create(options->output, out.bytes, out.length, &messages));
    int status = finish(&messages, good ? 0 : EXIT_INPUT);
    if (good && prints)
        status = print_all(&out, status);
    text_free(&out);
    return status;
}

const Command command_new = {"new", "[--material ID...] [-o FILE]",
                              "a commented style to start from", "--material=several -o", help,
                              run};
