/* The table of fields, its word lists and its relations, and how to look them
 * up. For every room above quantity. */
#include "field/field.h"

#include <math.h>
#include <string.h>

#define WORDS(identifier, called, ...)                                                             \
    static const char *const identifier##_items[] = {__VA_ARGS__};                                 \
    static const WordList identifier = {called, identifier##_items,                                \
                                        sizeof identifier##_items / sizeof(char *)}

WORDS(words_stage, "stage", "pull-over", "fit-sample", "confirmation-sample", "production");
WORDS(words_wear, "wear", "barefoot", "socked");
WORDS(words_wearer, "wearer", "adult", "child");
WORDS(words_system, "system", "paris-point", "english", "mondopoint");
WORDS(words_lasting, "lasting", "cement", "board", "strobel", "stitch-down", "welted", "moccasin",
      "turnshoe");
WORDS(words_wipes, "wipes", "heat", "hand");
WORDS(words_kind, "kind", "leather", "suede", "nubuck", "coated", "synthetic", "woven", "knit",
      "mesh", "spacer", "foam", "film", "board", "tape", "elastic", "thread");
WORDS(words_role, "role", "upper", "lining", "reinforcement", "foam", "tape", "binding", "tongue",
      "sock");
WORDS(words_side, "side", "lateral", "medial", "both");
WORDS(words_finish, "finish", "raw", "folded", "turned", "bound", "piped", "welded", "lasted",
      "fold-line");
WORDS(words_relief, "relief", "clipped", "notched", "pleated", "mitred", "patched", "none");
WORDS(words_skive_form, "skive.form", "step", "taper");
WORDS(words_grade, "grade", "hold", "scale");
WORDS(words_sight, "sight", "topline", "vamp", "other");
WORDS(words_curve, "curve", "inward", "outward");
WORDS(words_join, "join", "lapped", "closed", "turned", "butted", "bound", "welded", "cemented",
      "trimmed");
WORDS(words_zone, "zone", "toe", "ball", "instep", "ankle", "tendon", "heel", "none");
WORDS(words_sewn, "sewn", "flat", "round");
WORDS(words_does, "does", "seam", "topstitch");
WORDS(words_stitch, "stitch", "101", "103", "209", "301", "304", "308", "315", "401", "503", "504");
WORDS(words_machine, "machine", "flat-bed", "post-bed", "cylinder-arm", "zigzag", "binder",
      "skiver", "folder", "perforator", "eyeletter", "press", "hot-melt", "strobel", "toe-laster",
      "heel-laster");
WORDS(words_feed, "feed", "drop", "roller", "walking-foot");
WORDS(words_collar, "collar.kind", "none", "low", "high");
WORDS(words_closure, "closure.kind", "none", "laced", "buckle", "hook-and-loop", "zip", "goring");
WORDS(words_nap, "nap", "to-toe", "to-heel", "up", "down");
WORDS(words_use, "use", "none", "lace", "buckle", "decoration", "air");
WORDS(words_placing, "placing", "none", "notch", "punch", "ink");
WORDS(words_held, "held", "none", "cement", "understitch");
WORDS(words_opened, "opened", "none", "rubbed", "stitched", "taped");
WORDS(words_film, "bond.film", "none", "polyurethane", "copolyester");
WORDS(words_fibre, "fibre", "polyester", "polyamide", "cotton", "aramid");
WORDS(words_ends, "ends", "none", "overlap", "back-stitch", "bar", "tied");

static const WordList *const word_lists[] = {
    &words_stage,  &words_wear,    &words_wearer, &words_system, &words_lasting, &words_wipes,
    &words_kind,   &words_role,    &words_side,   &words_finish, &words_relief,  &words_skive_form,
    &words_grade,  &words_sight,   &words_curve,  &words_join,   &words_zone,    &words_does,
    &words_stitch, &words_machine, &words_feed,   &words_sewn,    &words_collar, &words_closure, &words_nap,    &words_use,
    &words_placing, &words_held,   &words_opened, &words_ends,    &words_film,   &words_fibre};

/* Words of the trade that the lists above have under another name. */
static const struct {
    const WordList *list;
    const char *said; /* small letters only */
    const char *write;
} synonyms[] = {
    {&words_system, "eu",            "paris-point (Paris points)"},
    {&words_system, "eur",           "paris-point (Paris points)"},
    {&words_system, "uk",            "english"                   },
    {&words_role,   "insole",        "sock"                      },
    {&words_finish, "rawedge",       "raw"                       },
    {&words_finish, "hem",           "folded"                    },
    {&words_finish, "bagged",        "turned"                    },
    {&words_finish, "stitchandturn", "turned"                    },
    {&words_curve,  "concave",       "inward (hollow)"           },
    {&words_curve,  "hollow",        "inward (hollow)"           },
    {&words_curve,  "convex",        "outward (rounded)"         },
    {&words_curve,  "rounded",       "outward (rounded)"         },
    {&words_join,   "overlay",       "lapped"                    },
    {&words_join,   "bagged",        "turned"                    },
    {&words_join,   "stitchandturn", "turned"                    },
    {&words_stitch, "lockstitch",    "301"                       },
    {&words_stitch, "zigzag",        "304"                       },
    {&words_stitch, "chainstitch",   "401"                       },
};

#define FIELD(id, subject, name, type, unit, words, refers, absence, least, most, step, tolerance, \
              grading, giver, visible, means)                                                      \
    {subject, name, sizeof(name) - 1, type,    unit,  words,   refers, absence, least,             \
     most,    step, tolerance,        grading, giver, visible, means},
static const Field fields[FIELD_ID_COUNT] = {
#include "field/fields.def"
};
#undef FIELD

static const char *const subject_names[SUBJECT_COUNT] = {
    [SUBJECT_STYLE] = "style",       [SUBJECT_LAST] = "last",       [SUBJECT_BOTTOM] = "bottom",
    [SUBJECT_MATERIAL] = "material", [SUBJECT_PART] = "part",       [SUBJECT_EDGE] = "edge",
    [SUBJECT_BEND] = "bend",         [SUBJECT_HOLE] = "hole",       [SUBJECT_SEAM] = "seam",
    [SUBJECT_ROW] = "row",           [SUBJECT_SPOT] = "spot",       [SUBJECT_STEP] = "step",
    [SUBJECT_PLY] = "ply",           [SUBJECT_FACTORY] = "factory", [SUBJECT_MACHINE] = "machine"};

static const char *const giver_names[GIVER_COUNT] = {"nobody",   "line",   "pattern",
                                                     "material", "making", "machine"};

#define ONE(from, name, to)                                                                        \
    {                                                                                              \
        SUBJECT_##from, name, SUBJECT_##to, false                                                  \
    }
#define MANY(from, name, to)                                                                       \
    {                                                                                              \
        SUBJECT_##from, name, SUBJECT_##to, true                                                   \
    }
static const Relation relations[] = {
    ONE(STYLE, "last", LAST),
    ONE(STYLE, "bottom", BOTTOM),
    ONE(STYLE, "factory", FACTORY),
    MANY(STYLE, "part", PART),
    MANY(STYLE, "seam", SEAM),
    MANY(STYLE, "material", MATERIAL),
    ONE(MATERIAL, "style", STYLE),
    ONE(PART, "material", MATERIAL),
    ONE(PART, "style", STYLE),
    MANY(PART, "edge", EDGE),
    MANY(PART, "seam", SEAM),
    MANY(PART, "hole", HOLE),
    ONE(EDGE, "part", PART),
    ONE(EDGE, "material", MATERIAL),
    ONE(EDGE, "style", STYLE),
    ONE(EDGE, "factory", FACTORY),
    MANY(EDGE, "bend", BEND),
    MANY(EDGE, "seam", SEAM),
    MANY(EDGE, "ply", PLY),
    ONE(BEND, "edge", EDGE),
    ONE(HOLE, "part", PART),
    ONE(HOLE, "edge", EDGE),
    ONE(SEAM, "style", STYLE),
    ONE(SEAM, "factory", FACTORY),
    MANY(SEAM, "edge", EDGE),
    MANY(SEAM, "row", ROW),
    MANY(SEAM, "ply", PLY),
    MANY(SEAM, "machine", MACHINE),
    ONE(ROW, "seam", SEAM),
    ONE(ROW, "style", STYLE),
    ONE(ROW, "factory", FACTORY),
    MANY(ROW, "edge", EDGE),
    MANY(ROW, "ply", PLY),
    MANY(ROW, "step", STEP),
    MANY(ROW, "machine", MACHINE),
    ONE(SPOT, "seam", SEAM),
    ONE(SPOT, "style", STYLE),
    ONE(SPOT, "factory", FACTORY),
    MANY(SPOT, "edge", EDGE),
    MANY(SPOT, "ply", PLY),
    MANY(SPOT, "machine", MACHINE),
    ONE(STEP, "row", ROW),
    ONE(PLY, "part", PART),
    ONE(PLY, "material", MATERIAL),
    ONE(MACHINE, "factory", FACTORY),
};
enum { RELATION_COUNT = sizeof relations / sizeof relations[0] };

/* What people write, by the unit a field is shown in. */
static const struct {
    const char *unit, *number, *range;
} accepted[] = {
    {"mm",    "a length such as 4 mm",             "settings such as 1.5..5 mm"     },
    {"%",     "a ratio such as 22 %",              "settings such as 10..20 %"      },
    {"deg",   "an angle such as 180 deg",          "settings such as 30..60 deg"    },
    {"°C",   "a temperature such as 95 °C",      "settings such as 80..120 °C"   },
    {"Nm",    "a needle size such as 90 Nm",       "needle sizes such as 80..120 Nm"},
    {"tex",   "a thread size such as 40 tex",      "thread sizes such as 20..90 tex"},
    {"g/cm3", "a density such as 0.6 g/cm3",       "settings such as 0.2..0.6 g/cm3"},
    {"g/m2",  "a mass per area such as 300 g/m2",  "settings such as 100..300 g/m2" },
    {"N",     "a force such as 180 N",             "settings such as 20..90 N"      },
    {"N/mm",  "a force per length such as 3 N/mm", "settings such as 1..3 N/mm"     },
    {"",      "a whole number such as 2",          "whole numbers such as 1..3"     },
    {"/min", "a number to the minute such as 2000 /min", "numbers such as 500..4000 /min"},
};

const Field *field_at(FieldId id)
{
    return &fields[id];
}

/* The table is in the order of subjects: the first row whose subject is at
 * least this one. */
static FieldId first_from(int subject)
{
    int low = 0, high = FIELD_ID_COUNT;
    while (low < high) {
        int middle = (low + high) / 2;
        if ((int)fields[middle].subject < subject)
            low = middle + 1;
        else
            high = middle;
    }
    return (FieldId)low;
}

FieldId field_first(Subject subject)
{
    return first_from((int)subject);
}

FieldId field_end(Subject subject)
{
    return first_from((int)subject + 1);
}

static bool same(const char *known, const char *name, size_t length)
{
    return strlen(known) == length && memcmp(known, name, length) == 0;
}

FieldId field_find(Subject subject, const char *name, size_t length)
{
    FieldId end = field_end(subject);
    for (FieldId id = field_first(subject); id < end; id++)
        if (fields[id].length == length && memcmp(fields[id].name, name, length) == 0)
            return id;
    return FIELD_ID_COUNT;
}

const Unit *field_unit(const Field *field)
{
    return field->unit[0] ? unit_find(field->unit, strlen(field->unit)) : NULL;
}

QuantityForm field_form(const Field *field)
{
    const Unit *unit = field_unit(field);
    QuantityForm form = {.range = field->type == FIELD_RANGE, .shown = unit};
    if (unit) {
        form.dimension = unit->dimension;
        form.point = unit->point;
        form.needle = unit->needle;
        form.reciprocal = strcmp(field->name, "pitch") == 0;
    } else {
        form.dimension = DIMENSION_NONE;
        form.bare = true;
        form.whole = true;
    }
    return form;
}

static void accept_words(Text *text, const char *start, const WordList *words)
{
    text_add(text, start);
    for (size_t i = 0; i < words->count; i++) {
        text_add(text, i ? ", " : " ");
        text_add(text, words->words[i]);
    }
}

static void accept_quantity(Text *text, const Field *field)
{
    if (field_form(field).reciprocal) {
        text_add(text,
                 field->type == FIELD_RANGE
                     ? "stitch lengths such as 1.5..5 mm"
                     : "a stitch length such as 2.5 mm, or stitches per length such as 10 /in");
        return;
    }
    for (size_t i = 0; i < sizeof accepted / sizeof accepted[0]; i++)
        if (strcmp(accepted[i].unit, field->unit) == 0)
            text_add(text, field->type == FIELD_RANGE ? accepted[i].range : accepted[i].number);
}

void field_accepts(Text *text, const Field *field)
{
    switch (field->type) {
    case FIELD_NUMBER:
    case FIELD_RANGE:
        accept_quantity(text, field);
        return;
    case FIELD_WORD:
        accept_words(text, "one of", field->words);
        return;
    case FIELD_WORDS:
        accept_words(text, "a list in [] of", field->words);
        return;
    case FIELD_COUNTS:
        text_add(text, "a list of whole numbers such as [1, 2]");
        return;
    case FIELD_TRUTH:
        text_add(text, "true or false");
        return;
    case FIELD_TEXT:
        text_add(text, "text");
        return;
    case FIELD_NAME:
        if (field->refers == SUBJECT_EDGE)
            text_add(text, "the name of an edge such as vamp.throat");
        else
            text_addf(text, "the name of a %s", subject_name(field->refers));
        return;
    }
}

const char *subject_name(Subject subject)
{
    return subject_names[subject];
}

bool subject_find(const char *name, size_t length, Subject *subject)
{
    for (int i = 0; i < SUBJECT_COUNT; i++)
        if (same(subject_names[i], name, length)) {
            *subject = (Subject)i;
            return true;
        }
    return false;
}

const char *giver_name(Giver giver)
{
    return giver_names[giver];
}

int word_index(const WordList *list, const char *word, size_t length)
{
    for (size_t i = 0; i < list->count; i++)
        if (same(list->words[i], word, length))
            return (int)i;
    return -1;
}

/* Whether the letters of `word` are those of `said`. */
static bool sounds_like(const char *said, const char *word, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        char c = word[i];
        if (c == ' ' || c == '-')
            continue;
        if ((c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c) != *said || !*said)
            return false;
        said++;
    }
    return *said == '\0';
}

const char *word_advice(const WordList *list, const char *word, size_t length)
{
    for (size_t i = 0; i < sizeof synonyms / sizeof synonyms[0]; i++)
        if (synonyms[i].list == list && sounds_like(synonyms[i].said, word, length))
            return synonyms[i].write;
    return NULL;
}

const WordList *word_list(const char *name)
{
    for (size_t i = 0; i < sizeof word_lists / sizeof word_lists[0]; i++)
        if (strcmp(word_lists[i]->name, name) == 0)
            return word_lists[i];
    return NULL;
}

const Relation *relation_table(size_t *count)
{
    *count = RELATION_COUNT;
    return relations;
}

const Relation *relation_find(Subject from, const char *name, size_t length)
{
    for (size_t i = 0; i < RELATION_COUNT; i++)
        if (relations[i].from == from && same(relations[i].name, name, length))
            return &relations[i];
    return NULL;
}

size_t relation_index(const Relation *relation)
{
    return (size_t)(relation - relations);
}
