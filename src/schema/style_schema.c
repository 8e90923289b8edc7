/* The schema of a style. For src/schema alone. */
#include "base/memory.h"
#include "schema/schema_inside.h"

enum { BACKED_MOST = 100, SIDES_MOST = 32, ALTERNATIVES_MOST = 64, DRAWINGS_MOST = 64 };

/* A mapping of the subject's fields and of the keys added to `properties`. */
static json_t *record_of(json_t *properties, Subject subject)
{
    json_t *record = schema_closed(properties);
    schema_require_fields(record, subject);
    return record;
}

static json_t *by_id(json_t *value)
{
    return schema_keyed(SCHEMA_ID, value);
}

/* ---- Parts ---- */

static void define_bend(const Schema *schema)
{
    schema_define(schema, "bend", record_of(schema_fields(schema, SUBJECT_BEND), SUBJECT_BEND));
}

static void define_edge(const Schema *schema)
{
    json_t *edge = schema_fields(schema, SUBJECT_EDGE);
    json_t *bends = schema_list(schema_or_unknown(schema_ref(schema, "bend")));
    schema_put(edge, "bends",
               schema_means(schema_or_unknown(bends),
                            "its bends in order; [] where it has none, absent: unknown"));
    schema_define(schema, "edge", record_of(edge, SUBJECT_EDGE));
}

/* The way material lies, or heel to toe: x, y or an angle. */
static json_t *axis(const Schema *schema)
{
    static const char *const words[] = {"x", "y"};
    QuantityForm angle = {.shown = unit_find("deg", 3)};
    return schema_any(schema_words(words, 2), schema_quantity(schema, &angle, true), NULL);
}

static json_t *backs(void)
{
    json_t *list = schema_list(schema_id_name());
    schema_put(list, "maxItems", json_integer(BACKED_MOST));
    return schema_means(schema_any(list, schema_id_name(), schema_const("unknown"), NULL),
                        "what it lies behind");
}

static void define_part(const Schema *schema)
{
    json_t *part = schema_fields(schema, SUBJECT_PART), *needs = schema_object();
    json_t *along = schema_any(axis(schema), schema_field(schema, PART_ALONG), NULL);
    schema_put(part, "along",
               schema_means(along, "tape: the edge it follows; else how its "
                                   "material lies: x, y or an angle"));
    schema_put(
        part, "edges",
        schema_means(by_id(schema_or_unknown(schema_ref(schema, "edge"))), "its named edges"));
    schema_put(part, "backs", backs());
    schema_put(part, "inset",
               schema_means(schema_any(schema_length(schema), by_id(schema_length(schema)), NULL),
                            "how far inside an edge's line it stops, such as {topline: 3 mm}"));
    json_t *whole = record_of(part, SUBJECT_PART), *backed = schema_array();
    schema_append(backed, json_string("backs"));
    schema_put(needs, "inset", backed);
    schema_put(whole, "dependentRequired", needs);
    schema_define(schema, "part", whole);
}

/* ---- Seams ---- */

static json_t *side(void)
{
    json_t *chain = schema_list(schema_edge_name());
    schema_put(chain, "minItems", json_integer(1));
    return schema_any(schema_edge_name(), schema_id_name(), chain, NULL);
}

static json_t *sides(void)
{
    json_t *edges = schema_list(side());
    schema_put(edges, "minItems", json_integer(1));
    schema_put(edges, "maxItems", json_integer(SIDES_MOST));
    return schema_means(edges, "what it joins, top ply first: part.edge, a chain of edges in [], "
                               "or a bare part");
}

static json_t *rows(const Schema *schema)
{
    schema_define(schema, "row", record_of(schema_fields(schema, SUBJECT_ROW), SUBJECT_ROW));
    json_t *list = schema_list(schema_or_unknown(schema_ref(schema, "row")));
    return schema_means(schema_or_unknown(list), "its rows of stitches");
}

static json_t *plies(const Schema *schema)
{
    json_t *properties = schema_object();
    schema_put(properties, "part", schema_or_unknown(schema_id_name()));
    schema_put(properties, "times", schema_field(schema, PLY_TIMES));
    json_t *several = schema_closed(properties);
    schema_require(several, "part", NULL);
    json_t *list =
        schema_list(schema_any(schema_id_name(), schema_const("unknown"), several, NULL));
    schema_put(list, "minItems", json_integer(1));
    return schema_means(schema_or_unknown(list),
                        "the plies there, such as [quarter, {part: tongue, times: 2}]");
}

static json_t *spots(const Schema *schema)
{
    json_t *spot = schema_fields(schema, SUBJECT_SPOT);
    schema_put(spot, "plies", plies(schema));
    schema_define(schema, "spot", record_of(spot, SUBJECT_SPOT));
    json_t *list = schema_list(schema_or_unknown(schema_ref(schema, "spot")));
    return schema_means(schema_or_unknown(list), "which plies lie where along the rows; without "
                                                 "them the steps are unknown");
}

static void define_seam(const Schema *schema)
{
    json_t *seam = schema_fields(schema, SUBJECT_SEAM);
    json_t *ease = schema_keyed(SCHEMA_ID "\\." SCHEMA_ID, schema_length(schema));
    schema_put(seam, "edges", sides());
    schema_put(seam, "rows", rows(schema));
    schema_put(seam, "spots", spots(schema));
    schema_put(seam, "ease",
               schema_means(schema_or_unknown(ease), "how much shorter an edge is cut"));
    schema_put(seam, "marks",
               schema_means(schema_or_unknown(schema_list(schema_length(schema))),
                            "match marks along the first side, and as far along the others"));
    json_t *whole = record_of(seam, SUBJECT_SEAM);
    schema_require(whole, "edges", NULL);
    schema_define(schema, "seam", whole);
}

/* ---- Mirrors ---- */

/* Parts and seams may mirror others; `name` of what is written out, `mirrored` of the
 * rest, `either` of both. */
static void define_mirror(const Schema *schema, const char *name, const char *mirrored,
                          const char *either, const char *but_means)
{
    static const char *const none[] = {NULL};
    json_t *written = schema_ref(schema, name), *properties = schema_object();
    json_t *mirrors = schema_of_type("object");
    schema_put(properties, "mirror",
               schema_means(schema_id_name(), "what it is the mirror image of"));
    schema_put(properties, "but", schema_means(schema_patches(schema, written, none), but_means));
    json_t *mirror = schema_closed(properties);
    schema_require(mirror, "mirror", NULL);
    schema_define(schema, mirrored, mirror);
    schema_require(mirrors, "mirror", NULL);
    json_t *choice = schema_if(mirrors, schema_ref(schema, mirrored));
    schema_put(choice, "else", written);
    schema_define(schema, either, choice);
}

static json_t *parts(const Schema *schema)
{
    define_bend(schema);
    define_edge(schema);
    define_part(schema);
    define_mirror(schema, "part", "part-mirrored", "part-either",
                  "what differs, such as {edges.vent.finish: raw}");
    json_t *section = by_id(schema_or_unknown(schema_ref(schema, "part-either")));
    schema_put(section, "minProperties", json_integer(1));
    return schema_means(section, "pattern pieces, by their ids");
}

static json_t *seams(const Schema *schema)
{
    define_seam(schema);
    define_mirror(schema, "seam", "seam-mirrored", "seam-either",
                  "what differs; its edges at least: {edges: [...]}");
    json_t *mirrored =
        json_object_get(schema->defs, schema->bare ? "seam-mirrored-bare" : "seam-mirrored");
    json_t *but = json_object_get(json_object_get(mirrored, "properties"), "but");
    schema_require(but, "edges", NULL);
    schema_require(mirrored, "but", NULL);
    return schema_means(by_id(schema_ref(schema, "seam-either")), "edges joined, by their ids");
}

/* ---- What surrounds the parts ---- */

static json_t *size(double least)
{
    json_t *number = schema_of_type("number"), *text = schema_of_type("string");
    schema_put(number, "minimum", json_real(least));
    schema_put(number, "maximum", json_integer(1000));
    schema_put(text, "pattern", json_string("^" SCHEMA_DECIMAL "$"));
    return schema_any(number, text, NULL);
}

static json_t *sizes(void)
{
    const WordList *systems = word_list("system");
    json_t *properties = schema_object();
    schema_put(properties, "system", schema_words(systems->words, systems->count));
    schema_put(properties, "base", schema_means(size(0), "the size that all values are of"));
    schema_put(properties, "from", schema_means(size(0), "smallest size"));
    schema_put(properties, "to", schema_means(size(0), "largest size"));
    schema_put(properties, "step",
               schema_means(size(0.25), "from size to size: 0.5 for half sizes; absent: 1, "
                                        "mondopoint 5"));
    json_t *run = schema_closed(properties);
    schema_require(run, "system", "base", "from", "to", NULL);
    return schema_means(run, "the size run");
}

static json_t *sheets(const Schema *schema)
{
    json_t *properties = schema_object();
    schema_put(properties, "along",
               schema_means(schema_or_unknown(axis(schema)), "from heel to toe: x, y or an angle"));
    return schema_means(by_id(schema_or_unknown(schema_closed(properties))),
                        "flat drawings on which parts lie in place");
}

static json_t *drawing(void)
{
    json_t *list = schema_list(schema_text());
    schema_put(list, "minItems", json_integer(1));
    schema_put(list, "maxItems", json_integer(DRAWINGS_MOST));
    return schema_means(schema_any(schema_text(), list, NULL), "SVG files in the style's folder");
}

static json_t *order(void)
{
    json_t *group = by_id(schema_list(schema_id_name()));
    return schema_means(schema_or_unknown(schema_list(schema_any(schema_id_name(), group, NULL))),
                        "seams in the order they are made; groups such as {lining: [back]}");
}

static json_t *alternatives(const Schema *schema, const json_t *whole)
{
    static const char *const closed[] = {"cordwain", "lengths", "alternatives", NULL};
    json_t *changes = schema_patches(schema, whole, closed), *properties = schema_object();
    schema_put(properties, "from",
               schema_means(schema_id_name(), "the alternative it builds on; absent: as written"));
    schema_put(changes, "properties", properties);
    schema_define(schema, "alternative", changes);
    json_t *all = schema_keyed("(?!as-written$)" SCHEMA_ID, schema_ref(schema, "alternative"));
    schema_put(all, "maxProperties", json_integer(ALTERNATIVES_MOST));
    return schema_means(all, "named sets of changed values: path: value, or removed");
}

/* ---- The whole ---- */

static json_t *materials(const Schema *schema)
{
    schema_define(schema, "material",
                  record_of(schema_fields(schema, SUBJECT_MATERIAL), SUBJECT_MATERIAL));
    return schema_means(by_id(schema_or_unknown(schema_ref(schema, "material"))),
                        "what parts are cut from, by their ids");
}

static json_t *holes(const Schema *schema)
{
    schema_define(schema, "hole", record_of(schema_fields(schema, SUBJECT_HOLE), SUBJECT_HOLE));
    return schema_means(by_id(schema_ref(schema, "hole")), "rows of holes, by their ids");
}

static json_t *single(const Schema *schema, Subject subject, const char *means)
{
    json_t *record = record_of(schema_fields(schema, subject), subject);
    return schema_means(schema_or_unknown(record), means);
}

static void put_sections(const Schema *schema, json_t *root)
{
    schema_put(root, "last", single(schema, SUBJECT_LAST, "the last it is built on"));
    schema_put(root, "sizes", sizes());
    schema_put(root, "bottom", single(schema, SUBJECT_BOTTOM, "what the upper is lasted to"));
    schema_put(root, "drawing", drawing());
    schema_put(root, "sheets", sheets(schema));
    schema_put(root, "materials", materials(schema));
    schema_put(root, "colourways",
               schema_means(by_id(schema_keyed(SCHEMA_ID, schema_id_name())),
                            "named swaps of materials; Bark: {} is as written"));
    schema_put(root, "parts", parts(schema));
    schema_put(root, "holes", holes(schema));
    schema_put(root, "seams", seams(schema));
    schema_put(root, "order", order());
    schema_put(
        root, "keeps",
        schema_means(schema_list(schema_text()), "paths that are never proposed for change"));
}

static void define_style(const Schema *schema)
{
    json_t *root = schema_object(), *fields = schema_fields(schema, SUBJECT_STYLE);
    schema_put(root, "cordwain", schema_head("style"));
    if (json_object_update(root, fields) != 0)
        out_of_memory();
    json_decref(fields);
    schema_put(root, "lengths", schema_lengths());
    put_sections(schema, root);
    json_t *whole = record_of(root, SUBJECT_STYLE);
    schema_require(whole, "cordwain", "parts", NULL);
    schema_put(root, "alternatives", alternatives(schema, whole));
    schema_define(schema, "style", whole);
}

/* Two styles in one schema: with and without a unit of bare lengths in the head. */
json_t *schema_of_style(Schema *schema)
{
    json_t *says_lengths = schema_of_type("object");
    schema_require(says_lengths, "lengths", NULL);
    define_style(schema);
    json_t *with_unit = schema_ref(schema, "style");
    schema->bare = unit_find("mm", 2);
    define_style(schema);
    json_t *choice = schema_if(says_lengths, schema_ref(schema, "style"));
    schema_put(choice, "else", with_unit);
    return choice;
}
