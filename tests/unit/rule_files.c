/* Rule files: what is read, what is refused and where, what a factory replaces. */
#include "rule_kit.h"

#include <math.h>
#include <sys/stat.h>

static const char turning[] = "tests/fixtures/rules-turning.yaml";

static void fill_turning(Columns *columns, double radius)
{
    static const int32_t plies[] = {0};
    kit_one(columns, SUBJECT_BEND, "edge", 0, 0);
    kit_many(columns, SUBJECT_EDGE, "ply", plies, 1);
    kit_one(columns, SUBJECT_PLY, "material", 0, 0);
    kit_word(columns, MATERIAL_KIND, 0, "suede");
    kit_word(columns, BEND_CURVE, 0, "inward");
    kit_word(columns, EDGE_FINISH, 0, "turned");
    kit_word(columns, EDGE_SIGHT, 0, "vamp");
    kit_exact(columns, BEND_RADIUS, 0, radius);
}

static void test_turning_is_read(void **state)
{
    (void)state;
    Kit kit = {0};
    const char *path = turning;
    kit.set = rules_read(&path, 1, NULL, &kit.messages);
    if (!kit.set) {
        kit_fail(&kit);
    }
    assert_non_null(kit.set);
    assert_int_equal(kit.set->limit_count, 3);
    const Limit *clip = rules_limit(kit.set, "clip_pitch_least");
    assert_int_equal(clip->by, MATERIAL_KIND);
    assert_int_equal(clip->stricter, STRICTER_HIGHER);
    assert_true(clip->used && !clip->read_by_critical && !clip->fixed);
    assert_string_equal(clip->unit->name, "mm");
    const WordList *kinds = word_list("kind");
    const LimitValue *woven = limit_value(clip, word_index(kinds, "woven", 5));
    assert_true(woven->quantity.nominal == 4 && woven->at.line == 7 &&
                woven->basis == BASIS_PRACTICE);
    assert_true(limit_value(clip, word_index(kinds, "knit", 4)) == &clip->otherwise);
    assert_null(limit_value(clip, NAN));
    assert_int_equal(rules_limit(kit.set, "facet_most")->stricter, STRICTER_LOWER);
    assert_false(rules_limit(kit.set, "clip_stop_least")->used);
    kit_end(&kit);
}

static void test_turning_rule(void **state)
{
    (void)state;
    Kit kit = {0};
    const char *path = turning;
    kit.set = rules_read(&path, 1, NULL, &kit.messages);
    const Rule *rule = rules_find(kit.set, "turn-clip-pitch");
    assert_non_null(rule);
    assert_null(rules_find(kit.set, "turn-clip"));
    assert_true(rule->about == SUBJECT_BEND && rule->class == CLASS_MAJOR && rule->has_sets);
    assert_true(rule->let_count == 1 && rule->limit_count == 2 && rule->binding_count == 2);
    assert_string_equal(rule->bound_name[1], "ply");
    assert_string_equal(rule->when_text, "edge.finish is turned and curve is inward");
    assert_int_equal(rule->say_count, 6);
    assert_string_equal(rule->say[0].text, "clips would have to be ");
    assert_string_equal(rule->say[1].name, "pitch_smooth");
    assert_ptr_equal(rule->say[1].formula, rule->lets[0].formula);
    assert_string_equal(rule->say[3].name, "ply.material");
    assert_true(!rule->say[3].formula && rule->say[3].record.subject == SUBJECT_MATERIAL);
    assert_int_equal(rule->say[5].formula->kind, FORMULA_LIMIT);
    assert_true(rule->give_count == 1 && rule->gives[0].field == BEND_RADIUS);
    assert_int_equal(rule->example_count, 2);
    assert_int_equal(rule->examples[0].expect, 4);
    assert_int_equal(rule->examples[1].expect, 1);
    assert_string_equal(yaml_get(rule->examples[0].given, "radius")->text, "exactly 3 mm");
    kit_end(&kit);
}

static void test_turning_judges(void **state)
{
    (void)state;
    static const struct {
        double radius;
        Kleene require;
    } cases[] = {
        {3,   KLEENE_FALSE},
        {8,   KLEENE_TRUE },
        {5.7, KLEENE_FALSE},
        {5.8, KLEENE_TRUE }
    };
    Kit kit = {0};
    const char *path = turning;
    kit.set = rules_read(&path, 1, NULL, &kit.messages);
    const Rule *rule = rules_find(kit.set, "turn-clip-pitch");
    Columns *columns = kit_columns(1, 1, 1, 1);
    for (size_t i = 0; i < 4; i++) {
        Plain plain;
        fill_turning(columns, cases[i].radius);
        plain_start(&plain, rule, columns, 0, 0);
        assert_int_equal(plain_truth(&plain, rule->when).nominal, KLEENE_TRUE);
        PlainTruth truth = plain_truth(&plain, rule->require);
        assert_int_equal(truth.nominal, cases[i].require);
        /* In the sentence the ply is the one that decided. */
        memcpy(plain.bindings, truth.spare.bindings, sizeof plain.bindings);
        assert_int_equal(plain_record(&plain, &rule->say[3].record), 0);
        assert_true(plain_number(&plain, rule->say[5].formula).nominal == 3);
        double smooth = plain_number(&plain, rule->say[1].formula).nominal;
        assert_true(fabs(smooth - 2 * sqrt(2 * cases[i].radius * 0.2 - 0.04)) < 1e-12);
    }
    columns_free(columns);
    kit_end(&kit);
}

/* A file that is right; each case below makes one thing of it wrong. */
static const char right_file[] =
    "cordwain: rules/1\n"
    "title: T\n"
    "constants: {half: 0.5}\n"
    "tables: {size_for: {in: tex, out: Nm, between: below, rows: [[20 tex, 70 Nm], [40 tex, 90 "
    "Nm]], basis: published, source: s}}\n"
    "limits:\n"
    "  wide_least: {means: m, value: 4 mm, basis: published, source: s}\n"
    "  kind_least: {means: m, by: material.kind, values: {suede: 3 mm, else: 2 mm}, basis: "
    "published, source: s}\n"
    "rules:\n"
    "  fold-one:\n"
    "    title: T\n"
    "    about: bend\n"
    "    when: curve is inward\n"
    "    let: {double: 2 * left, more: double + 1 mm}\n"
    "    require: radius >= double and every edge.ply (kind_least < 9 mm)\n"
    "    class: minor\n"
    "    say: \"radius {radius} of {edge.part}\"\n"
    "    because: b\n"
    "    gives: [radius, edge.left]\n"
    "    source: s\n"
    "    examples: [{given: {radius: 1 mm}, expect: flag}, {given: {radius: 9 mm}, expect: "
    "pass}]\n";

static char *replaced(Kit *kit, const char *text, const char *old, const char *new)
{
    const char *at = strstr(text, old);
    assert_non_null(at);
    return arena_printf(&kit->arena, "%.*s%s%s", (int)(at - text), text, new, at + strlen(old));
}

typedef struct Wrong {
    const char *old, *new, *message;
    int line, column;
} Wrong;

static const Wrong wrong[] = {
    {"rules/1",                                                                "style/1",                                  "rules/1",                                   1,  0 },
    {"title: T\nconst",                                                        "tittle: T\nconst",                         "did you mean title?",                       2,  1 },
    {"half: 0.5",                                                              "half: 1 ± 0.1",                           "without tolerance",                         3,  19},
    {"half: 0.5",                                                              "half: unknown",                            "one known number",                          3,  19},
    {"half: 0.5",                                                              "min: 0.5",                                 "is a function",                             3,  13},
    {"half: 0.5",                                                              "then: 0.5",                                "a word of the rule language",               3,  13},
    {"half: 0.5",                                                              "wide-least: 0.5",                          "letters, digits and _",                     3,  13},
    {"half: 0.5",                                                              "wide_least: 1 mm",                         "is there already",                          6,  3 },
    {"between: below, ",                                                       "",                                         "linear, below or above",                    4,  0 },
    {"between: below",                                                         "between: bellow",                          "did you mean below?",                       4,  0 },
    {"[40 tex, 90 Nm]",                                                        "[20 tex, 90 Nm]",                          "must rise",                                 4,  0 },
    {"[40 tex, 90 Nm]",                                                        "[40 tex]",                                 "a row is two values",                       4,  0 },
    {"[40 tex, 90 Nm]",                                                        "[40 mm, 90 Nm]",                           "tex",                                       4,  0 },
    {"in: tex",                                                                "in: texx",                                 "texx is no unit",                           4,  0 },
    {"  wide_least: {means: m, ",                                              "  wide_least: {",                          "needs `means`",                             6,  15},
    {"value: 4 mm, ",                                                          "",                                         "a limit has `value`, or `by` and `values`", 6,  15},
    {"value: 4 mm, basis: published",                                          "value: 4 mm, basis: published, basis: x",  "basis",                                     6,  0 },
    {"value: 4 mm, basis: published",                                          "value: 4 mm, basis: publised",             "did you mean published?",                   6,
     46                                                                                                                                                                       },
    {"value: 4 mm, basis: published, source: s",                               "value: 4 mm, basis: published",            "needs `source`",
     6,                                                                                                                                                                     15},
    {"value: 4 mm",                                                            "value: 4 mmm",                             "mmm",                                       6,  0 },
    {"value: 4 mm",                                                            "value: unknown",                           "no value of wide_least says what it is",    6,  3 },
    {"value: 4 mm",                                                            "value: 4 mm, own: machine.kind",           "not of the kind of this limit",             6,  0 },
    {"value: 4 mm",                                                            "value: 4 mm, fixed: yes",                  "true or false",                             6,  0 },
    {"suede: 3 mm",                                                            "suade: 3 mm",                              "did you mean suede?",                       7,  54},
    {"else: 2 mm",                                                             "else: 2 K",                                "length",                                    7,  73},
    {"material.kind",                                                          "material.thickness",                       "by a word or a truth",                      7,  30},
    {"material.kind",                                                          "material.kidn",                            "did you mean kind?",                        7,  30},
    {"material.kind",                                                          "kind",                                     "a subject and its field",                   7,  30},
    {"fold-one",                                                               "fold",                                     "begins with its family",                    9,  3 },
    {"    about: bend\n",                                                      "",                                         "needs `about`",                             10, 5 },
    {"about: bend",                                                            "about: bent",                              "did you mean bend?",                        11, 12},
    {"curve is inward",                                                        "radius",                                   "`when` must be a truth; this is a length",  12, 11},
    {"curve is inward",                                                        "curve is inwards",                         "did you mean inward?",                      12, 20},
    {"double: 2 * left, more: double + 1 mm",                                  "more: double + 1 mm, double: 2 * left",
     "double is written below: a let may use those above it",                                                                                                           13, 17},
    {"double: 2 * left",                                                       "wide_least: 2 * left, double: wide_least",
     "means two things here: a let and a limit",                                                                                                                        13, 41},
    {"double: 2 * left",                                                       "radius: 2 mm, double: radius",             "a let and a field",                         13, 33},
    {"radius >= double",                                                       "radius >= dubble",                         "did you mean double?",                      14, 24},
    {"radius >= double",                                                       "radius >= fold",                           "fold is unknown here",                      14, 24},
    {"    require: radius >= double and every edge.ply (kind_least < 9 mm)\n", "",
     "needs `require`",                                                                                                                                                 10, 5 },
    {"class: minor",                                                           "class: small",                             "known are critical, major, minor",          15, 12},
    {"    class: minor\n",                                                     "",                                         "needs `class`",                             10, 5 },
    {"{radius}",                                                               "{radus}",                                  "did you mean radius?",                      16, 19},
    {"{radius}",                                                               "{radius",                                  "`}` is expected after a name",              16, 0 },
    {"{radius}",                                                               "radius}",                                  "a } without its {",                         16, 24},
    {"{edge.part}",                                                            "{edge.ply}",                               "are many",                                  16, 31},
    {"    because: b\n",                                                       "",                                         "needs `because`",                           10, 5 },
    {"[radius, edge.left]",                                                    "[radius, edge.length]",                    "the rule does not read edge.length",        18, 21},
    {"[radius, edge.left]",                                                    "[arc]",                                    "worked out, never written",                 18, 13},
    {"[radius, edge.left]",                                                    "[kind_least]",                             "no value that can be changed",              18, 13},
    {"[radius, edge.left]",                                                    "[radius + 1]",                             "a name alone is expected",                  18, 20},
    {"[radius, edge.left]",                                                    "radius",                                   "gives is a list",                           18, 12},
    {"expect: pass",                                                           "expect: passed",                           "did you mean pass?",                        20, 0 },
    {"expect: pass",                                                           "expect: flag",                             "an example that flags and one that passes", 20, 15},
    {"    examples: ",                                                         "    danger: true\n    # ",                 "needs a list of `examples`",                10, 5 },
    {"    source: s\n    ex",                                                  "    sauce: s\n    ex",                     "did you mean source?",                      19, 5 },
};

static void test_wrong_files(void **state)
{
    (void)state;
    Kit good = {0};
    if (!kit_read(&good, right_file, NULL)) {
        kit_fail(&good);
    }
    assert_non_null(good.set);
    kit_end(&good);
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        Kit kit = {0};
        RuleSet *set = kit_read(&kit, replaced(&kit, right_file, wrong[i].old, wrong[i].new), NULL);
        const Message *message = kit.messages.count ? &kit.messages.items[0] : NULL;
        bool as_due = !set && message && strstr(message->text, wrong[i].message) &&
                      message->at.line == wrong[i].line &&
                      (wrong[i].column == 0 || message->at.column == wrong[i].column);
        if (!as_due) {
            print_error("%s -> %s\n", wrong[i].old, wrong[i].new);
            kit_fail(&kit);
        }
        assert_true(as_due);
        kit_end(&kit);
    }
}

static void test_twins_in_two_files(void **state)
{
    (void)state;
    Kit kit = {0};
    const char *paths[] = {kit_file(&kit, right_file), kit_file(&kit, right_file)};
    assert_null(rules_read(paths, 2, NULL, &kit.messages));
    assert_int_equal(kit.messages.count, 4); /* the constant, the table, two limits */
    assert_string_equal(kit.messages.items[0].other.file, paths[0]);
    kit_forget(&kit);
    const char *rules_only =
        kit_file(&kit, replaced(&kit, replaced(&kit, right_file, "fold-one", "fold-two"),
                                "constants", "# "));
    unlink(paths[1]);
    paths[1] = kit_file(&kit, "cordwain: rules/1\ntitle: T\nrules: {fold-one: {}}\n");
    assert_null(rules_read(paths, 2, NULL, &kit.messages));
    assert_non_null(strstr(kit_message(&kit)->text, "rule fold-one is there already"));
    assert_int_equal(kit_message(&kit)->other.line, 9);
    unlink(paths[0]);
    unlink(paths[1]);
    unlink(rules_only);
    kit_end(&kit);
}

static void test_tables(void **state)
{
    (void)state;
    Kit kit = {0};
    double inputs[] = {20, 40, 80}, outputs[] = {1, 2, 1};
    RuleTable table = {.between = BETWEEN_LINEAR, .inputs = inputs, .outputs = outputs, .count = 3};
    assert_true(table_value(&table, 20) == 1 && table_value(&table, 30) == 1.5);
    assert_true(table_value(&table, 60) == 1.5 && table_value(&table, 80) == 1);
    assert_true(table_value(&table, 20 * (1 - 1e-10)) == 1);
    assert_true(isnan(table_value(&table, 19.9)) && isnan(table_value(&table, 80.1)));
    assert_true(isnan(table_value(&table, NAN)));
    table.between = BETWEEN_BELOW;
    assert_true(table_value(&table, 39) == 1 && table_value(&table, 40) == 2);
    table.between = BETWEEN_ABOVE;
    assert_true(table_value(&table, 21) == 2 && table_value(&table, 20) == 1);
    assert_true(table_value(&table, 40 * (1 + 1e-10)) == 2);
    kit_end(&kit);
}

/* ---- factories ---- */

static const char factory_head[] = "cordwain: factory/1\nname: Loft (invented)\nmachines: {}\n";

typedef struct Shop {
    Kit kit;
    Factory *factory;
} Shop;

/* Rules `text` under a factory with `more` below its head. */
static Shop shop_read(const char *text, const char *more)
{
    Shop shop = {0};
    const char *path =
        kit_file(&shop.kit, arena_printf(&shop.kit.arena, "%s%s", factory_head, more));
    shop.factory = factory_read(path, &shop.kit.messages);
    unlink(path);
    if (!shop.factory) {
        kit_fail(&shop.kit);
    }
    assert_non_null(shop.factory);
    kit_read(&shop.kit, text, shop.factory);
    return shop;
}

static void shop_end(Shop *shop)
{
    kit_end(&shop->kit);
    factory_free(shop->factory);
}

static const LimitValue *shop_value(const Shop *shop, const char *limit, const char *word)
{
    if (!shop->kit.set) {
        messages_write(&shop->kit.messages, stderr);
    }
    assert_non_null(shop->kit.set);
    double index = word ? (double)word_index(word_list("kind"), word, strlen(word)) : (double)NAN;
    return limit_value(rules_limit(shop->kit.set, limit), index);
}

static void test_factory_replaces_a_row(void **state)
{
    (void)state;
    Shop shop = shop_read(
        right_file, "limits:\n  kind_least: {suede: 2.5 mm, reason: laser, basis: measured}\n");
    const LimitValue *suede = shop_value(&shop, "kind_least", "suede");
    assert_true(suede->quantity.nominal == 2.5 && suede->basis == BASIS_MEASURED);
    assert_string_equal(suede->reason, "laser");
    assert_string_equal(suede->set_by, "Loft (invented)");
    assert_int_equal(suede->at.line, 5);
    assert_true(suede->beaten->quantity.nominal == 3 && !suede->beaten->beaten);
    assert_string_equal(suede->beaten->set_by, "base rules");
    assert_int_equal(suede->beaten->at.line, 7);
    const LimitValue *other = shop_value(&shop, "kind_least", "woven");
    assert_true(other->quantity.nominal == 2 && !other->beaten);
    shop_end(&shop);
}

static void test_factory_adds_a_row(void **state)
{
    (void)state;
    Shop shop = shop_read(right_file, "limits:\n  kind_least: {woven: 5 mm}\n");
    const LimitValue *woven = shop_value(&shop, "kind_least", "woven");
    assert_true(woven->quantity.nominal == 5 && woven->beaten->quantity.nominal == 2);
    assert_int_equal(woven->basis, BASIS_MEMORY);
    assert_null(woven->reason);
    shop_end(&shop);
}

static void test_factory_replaces_all_rows(void **state)
{
    (void)state;
    Shop shop =
        shop_read(right_file, "lengths: mm\nlimits:\n  kind_least: 2.5\n  wide_least: 5 mm\n");
    const LimitValue *suede = shop_value(&shop, "kind_least", "suede");
    const LimitValue *woven = shop_value(&shop, "kind_least", "woven");
    assert_true(suede->quantity.nominal == 2.5 && suede->beaten->quantity.nominal == 3);
    assert_true(woven->quantity.nominal == 2.5 && woven->beaten->quantity.nominal == 2);
    const LimitValue *wide = shop_value(&shop, "wide_least", NULL);
    assert_true(wide->quantity.nominal == 5 && wide->beaten->quantity.nominal == 4);
    shop_end(&shop);
}

static void test_twice_at_one_level_the_stricter(void **state)
{
    (void)state;
    Shop shop = shop_read(
        right_file,
        "limits:\n  kind_least: {value: 3.5 mm, suede: 3.2 mm, woven: 4 mm, else: 1 mm}\n");
    assert_true(shop_value(&shop, "kind_least", "suede")->quantity.nominal == 3.5);
    const LimitValue *woven = shop_value(&shop, "kind_least", "woven");
    assert_true(woven->quantity.nominal == 4 && woven->beaten->quantity.nominal == 2);
    assert_true(shop_value(&shop, "kind_least", "knit")->quantity.nominal == 3.5);
    shop_end(&shop);
}

typedef struct ShopWrong {
    const char *old, *new; /* in the rules; NULL: as they are */
    const char *more, *message;
    int line, other_line; /* 0: one place only */
} ShopWrong;

static const ShopWrong shop_wrong[] = {
    {NULL,            NULL,                       "limits: {kind_leest: 3 mm}\n",                                                    "did you mean kind_least?",    4, 0},
    {NULL,            NULL,                       "limits: {half: 0.6}\n",                                                           "half is closed to factories", 4, 3},
    {NULL,            NULL,                       "limits: {kind_least: 3 K}\n",                                                     "length",                      4, 0},
    {NULL,            NULL,                       "limits: {kind_least: {suade: 3 mm}}\n",                                           "did you mean suede?",         4, 0},
    {NULL,            NULL,                       "limits: {wide_least: {suede: 3 mm}}\n",                                           "goes by no word",             4, 0},
    {NULL,            NULL,                       "limits: {wide_least: {else: 3 mm}}\n",                                            "write value",                 4, 0},
    {NULL,            NULL,                       "limits: {wide_least: {value: 3 mm, basis: rumour}}\n",                            "rumour is no basis",          4,
     0                                                                                                                                                                  },
    {NULL,            NULL,                       "constants: {third: 0.3}\n",                                                       "closed to factories",         4, 0},
    {NULL,            NULL,                       "not_judged: {fold-won: no folder}\n",                                             "did you mean fold-one?",      4, 0},
    {NULL,            NULL,                       "rules: {fold-one: {title: T}}\n",                                                 "never redefined",             4, 9},
    {NULL,            NULL,                       "own_limits: {wide_least: {means: m, value: 4 mm, basis: measured, source: s}}\n",
     "wide_least is there already",                                                                                                                                 4, 6},
    {"class: minor",  "class: critical",          "limits: {kind_least: {suede: 2.5 mm, basis: measured}}\n",
     "loosened from 3 mm to 2.5 mm, and the critical rule fold-one reads it: give a reason",                                                                        4, 7},
    {"class: minor",  "class: critical",          "limits: {kind_least: 2.5 mm}\n",                                                  "from 3 mm to 2.5 mm",         4,
     7                                                                                                                                                                  },
    {"class: minor",  "class: critical",          "limits: {kind_least: {suede: 3.5 ± 1 mm}}\n",
     "give a reason",                                                                                                                                               4, 7},
    {"value: 4 mm",   "fixed: true, value: 4 mm", "limits: {wide_least: {value: 3 mm, reason: r}}\n",
     "is fixed",                                                                                                                                                    4, 6},
    {"wide_least: {", "wide: {",                  "limits: {wide: 5 mm}\n",                                                          "replacing it needs a reason", 4, 6},
    {"wide_least: {", "wide: {",                  "limits: {wide: {value: 3 mm, reason: unknown}}\n",                                "no reason",                   4, 0},
    {"class: minor",  "class: critical",          "limits: {kind_least: {suede: 2.5 mm, reason: \" \"}}\n",                         "no reason",                   4, 0},
    {NULL,            NULL,                       "not_judged: {fold-one: \"  \"}\n",                                               "no reason",                   4, 0},
    {NULL,            NULL,                       "not_judged: {fold-one: \"unknown\"}\n",                                          "no reason",                   4, 0},
    {NULL,            NULL,                       "limits: {kind_least: {}}\n",                                                     "give a value",                4, 0},
    {NULL,            NULL,                       "limits: {kind_least: {reason: r}}\n",                                            "give a value",                4, 0},
    {NULL,            NULL,                       "limits: {wide_least: -3 mm}\n",                                                  "wide_least cannot be negative, as -3 mm is", 4, 6},
    {NULL,            NULL,                       "limits: {kind_least: {suede: 1 ± 2 mm, reason: r}}\n",                           "1 mm less its tolerance is",  4, 7},
};

static void test_factory_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof shop_wrong / sizeof *shop_wrong; i++) {
        const ShopWrong *w = &shop_wrong[i];
        Kit texts = {0};
        const char *text = w->old ? replaced(&texts, right_file, w->old, w->new) : right_file;
        Shop shop = shop_read(text, w->more);
        const Message *message = shop.kit.messages.count ? &shop.kit.messages.items[0] : NULL;
        bool as_due =
            !shop.kit.set && message && strstr(message->text, w->message) &&
            message->at.line == w->line &&
            (w->other_line == 0 ? !message->other.file : message->other.line == w->other_line);
        if (!as_due) {
            print_error("%s", w->more);
            kit_fail(&shop.kit);
        }
        assert_true(as_due);
        shop_end(&shop);
        kit_end(&texts);
    }
}

static void test_factory_allowed(void **state)
{
    (void)state;
    Kit texts = {0};
    const char *critical = replaced(&texts, right_file, "class: minor", "class: critical");
    Shop shop =
        shop_read(critical, "limits: {kind_least: {suede: 2.5 mm, reason: r}, wide_least: 3 mm}\n");
    assert_true(shop_value(&shop, "kind_least", "suede")->quantity.nominal == 2.5);
    shop_end(&shop);
    const char *fixed = replaced(&texts, right_file, "value: 4 mm", "fixed: true, value: 4 mm");
    shop = shop_read(fixed, "limits: {wide_least: 5 mm}\n");
    assert_true(shop_value(&shop, "wide_least", NULL)->quantity.nominal == 5);
    shop_end(&shop);
    const char *sideless = replaced(&texts, right_file, "wide_least: {", "wide: {");
    shop = shop_read(sideless, "limits: {wide: {value: 3 mm, reason: r}}\n");
    assert_true(shop_value(&shop, "wide", NULL)->quantity.nominal == 3);
    shop_end(&shop);
    kit_end(&texts);
}

static void test_factory_adds_and_switches_off(void **state)
{
    (void)state;
    Shop shop = shop_read(
        right_file, "not_judged: {fold-one: no folder here}\n"
                    "own_limits: {gap_least: {means: m, value: 1 mm, basis: measured, source: s}}\n"
                    "tables: {steps: {in: number, out: mm, between: above, rows: [[1, 2 mm], [2, 3 "
                    "mm]], basis: measured, source: s}}\n"
                    "rules:\n"
                    "  shop-gap:\n"
                    "    title: T\n"
                    "    about: row\n"
                    "    require: gap >= gap_least and pitch < steps(number)\n"
                    "    class: major\n"
                    "    say: gap {gap}, at least {gap_least}\n"
                    "    because: b\n"
                    "    source: s\n"
                    "    examples: [{given: {gap: 0.5 mm}, expect: flag}, {given: {gap: 2 mm}, "
                    "expect: pass}]\n");
    const LimitValue *gap = shop_value(&shop, "gap_least", NULL);
    assert_string_equal(gap->set_by, "Loft (invented)");
    const Rule *own = rules_find(shop.kit.set, "shop-gap"),
               *off = rules_find(shop.kit.set, "fold-one");
    assert_true(own->limit_count == 1 && own->table_count == 1 && !own->off_reason &&
                !own->has_sets);
    assert_string_equal(off->off_reason, "no folder here");
    assert_int_equal(off->off_at.line, 4);
    shop_end(&shop);
}

/* Lets that use lets double what a rule costs: that is counted. */
static void test_lets_are_counted(void **state)
{
    (void)state;
    Kit kit = {0};
    Text lets = {0};
    text_add(&lets, "let:\n      l0: radius\n");
    for (int i = 1; i <= 30; i++) {
        text_addf(&lets, "      l%d: l%d + l%d\n", i, i - 1, i - 1);
    }
    char *text = replaced(&kit, right_file, "let: {double: 2 * left, more: double + 1 mm}\n",
                          text_string(&lets));
    text = replaced(&kit, text, "radius >= double", "radius >= l30");
    assert_null(kit_read(&kit, text, NULL));
    assert_non_null(
        strstr(kit_message(&kit)->text, "limited to 2000 parts, lets counted at every use"));
    text_free(&lets);
    kit_end(&kit);
}

static void test_sets_through_lets_are_counted(void **state)
{
    (void)state;
    Kit kit = {0};
    char *text = replaced(&kit, right_file, "more: double + 1 mm",
                          "\"deep\": \"every edge.ply (every edge.ply (count edge.ply > 0))\"");
    text = replaced(&kit, text, "every edge.ply (kind_least < 9 mm)", "every edge.ply (deep)");
    assert_null(kit_read(&kit, text, NULL));
    assert_non_null(strstr(kit_message(&kit)->text, "3 deep at most; deep brings 3 more"));
    kit_end(&kit);
}

static void test_folder(void **state)
{
    (void)state;
    Kit kit = {0};
    char folder[SCRATCH_LENGTH];
    const char *const *paths;
    size_t count;
    scratch_folder(folder);
    assert_false(rules_in_folder(&kit.arena, folder, &paths, &count, &kit.messages));
    assert_non_null(strstr(kit_message(&kit)->text, "no *.yaml file"));
    kit_forget(&kit);
    static const char *const names[] = {"b.yaml", "a.yaml", ".c.yaml", "d.txt"};
    for (int i = 0; i < 4; i++) {
        FILE *file = fopen(arena_printf(&kit.arena, "%s/%s", folder, names[i]), "w");
        assert_non_null(file);
        assert_int_equal(fclose(file), 0);
    }
    assert_true(rules_in_folder(&kit.arena, folder, &paths, &count, &kit.messages));
    assert_int_equal(count, 2);
    assert_non_null(strstr(paths[0], "/a.yaml"));
    assert_non_null(strstr(paths[1], "/b.yaml"));
    for (int i = 0; i < 4; i++) {
        assert_int_equal(unlink(arena_printf(&kit.arena, "%s/%s", folder, names[i])), 0);
    }
    assert_int_equal(rmdir(folder), 0);
    assert_false(rules_in_folder(&kit.arena, folder, &paths, &count, &kit.messages));
    assert_non_null(strstr(kit_message(&kit)->text, "cannot read this folder"));
    kit_end(&kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_turning_is_read),
        cmocka_unit_test(test_turning_rule),
        cmocka_unit_test(test_turning_judges),
        cmocka_unit_test(test_wrong_files),
        cmocka_unit_test(test_twins_in_two_files),
        cmocka_unit_test(test_tables),
        cmocka_unit_test(test_factory_replaces_a_row),
        cmocka_unit_test(test_factory_adds_a_row),
        cmocka_unit_test(test_factory_replaces_all_rows),
        cmocka_unit_test(test_twice_at_one_level_the_stricter),
        cmocka_unit_test(test_factory_refused),
        cmocka_unit_test(test_factory_allowed),
        cmocka_unit_test(test_factory_adds_and_switches_off),
        cmocka_unit_test(test_lets_are_counted),
        cmocka_unit_test(test_sets_through_lets_are_counted),
        cmocka_unit_test(test_folder),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
