/* Kinds of the catalogue written into styles: only lines are added, whatever the file looks like;
 * the demo styles still read in all their ways; what is refused changes no byte. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "catalogue/catalogue.h"
#include "judge/judge.h"
#include "scratch.h"

static const char kinds[] = "cordwain: materials/1\n"
                            "title: Invented\n"
                            "materials:\n"
                            "  cloth:\n"
                            "    means: cloth\n"
                            "    kind: woven\n"
                            "    thickness: 0.7..1.1 mm\n"
                            "    stretch: {along: 2..6 %, across: 3..10 %}\n"
                            "    source: \"common practice, no published source\"\n"
                            "    sources: {thickness: a handbook, stretch: another}\n"
                            "  nasty:\n"
                            "    means: \"a\\nb: c # \\e[31m \\u202e\"\n"
                            "    thickness: '1..2 mm'\n"
                            "    folds: true\n"
                            "    source: \"x\\n  y: z\"\n"
                            "    sources: {folds: \"\\n\\n    hard: true\"}\n";

/* A catalogue, and a style to write into. */
typedef struct Bench {
    Arena arena;
    Messages messages;
    Catalogue *catalogue;
    YamlFile *style;
    Text text;
} Bench;

static Bench bench_of(const char *style, size_t length)
{
    Bench bench = {0};
    bench.catalogue = catalogue_read_bytes("c.yaml", kinds, strlen(kinds), &bench.messages);
    bench.style = yaml_read_bytes(&bench.arena, "t.yaml", style, length, false, &bench.messages);
    assert_non_null(bench.catalogue);
    assert_non_null(bench.style);
    assert_int_equal(bench.messages.count, 0);
    return bench;
}

static void bench_free(Bench *bench)
{
    text_free(&bench->text);
    catalogue_free(bench->catalogue);
    messages_free(&bench->messages);
    arena_free(&bench->arena);
}

static bool insert(Bench *bench, const char *wanted)
{
    CatalogueChoice choice;
    assert_true(
        catalogue_choose(bench->catalogue, &bench->arena, wanted, &choice, &bench->messages));
    return catalogue_text(bench->style, &choice, 1, &bench->text, &bench->messages);
}

#define HEAD "cordwain: style/1\nname: N\ncode: C\n"
#define PARTS "parts: {vamp: {role: upper, material: unknown}}\n"
#define HIDE "  hide: {kind: leather}"
/* The lines of the kind, each with what stands before it. */
#define CLOTH(start)                                                                               \
    start "# cloth (cloth), from the catalogue: yours to measure" start                            \
          "# Source: common practice, no published source" start "cloth:" start                    \
          "  kind: woven" start "  # Source: a handbook" start "  thickness: 0.7..1.1 mm" start    \
          "  # Source: another" start "  stretch:" start "    along: 2..6 %" start                 \
          "    across: 3..10 %"

/* What is put in, before what the catalogue does not say, and where. */
static const struct {
    const char *before, *start, *after;
} places[] = {
    {HEAD "materials:\n" HIDE, CLOTH("\n  "), "\n" PARTS},
    {HEAD "materials:\n" HIDE "   # soft\t one", CLOTH("\n  "), "\n\n# next\n" PARTS},
    {HEAD "materials:\n  hide:\n      kind: leather\n      folds: true  # so", CLOTH("\n  "),
     "\n" PARTS},
    {HEAD PARTS "materials:\n      hide: {kind: leather,\n  folds: true}", CLOTH("\n      "), ""},
    {HEAD PARTS "materials:\n" HIDE, CLOTH("\n  "), "\n  # no more\n"},
    {HEAD "parts: {vamp: {role: upper, material: unknown}}", "\nmaterials:" CLOTH("\n  "), "\n"},
    {"cordwain: style/1\r\nname: N\r\nmaterials:\r\n" HIDE, CLOTH("\r\n  "), "\r\n" PARTS},
    {"\xEF\xBB\xBF" HEAD "materials:\n" HIDE, CLOTH("\n  "), "\n" PARTS},
    {HEAD "materials:\n  hide: unknown", CLOTH("\n  "), "\n" PARTS},
};

static void lines_are_added_and_nothing_else(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        Text style = {0};
        text_addf(&style, "%s%s", places[i].before, places[i].after);
        Bench bench = bench_of(style.bytes, style.length);
        if (!insert(&bench, "cloth"))
            fail_msg("%s: %s", style.bytes, bench.messages.items[0].text);
        size_t before = strlen(places[i].before), start = strlen(places[i].start);
        size_t after = strlen(places[i].after);
        assert_memory_equal(bench.text.bytes, places[i].before, before);
        if (strncmp(bench.text.bytes + before, places[i].start, start) != 0)
            fail_msg("%s", bench.text.bytes);
        assert_string_equal(bench.text.bytes + bench.text.length - after, places[i].after);
        assert_int_equal(bench.messages.count, 0);
        text_free(&style);
        bench_free(&bench);
    }
}

static void refusals_say_why_and_add_nothing(void **state)
{
    (void)state;
    static const struct {
        const char *style, *wanted, *says;
        int line;
    } refused[] = {
        {HEAD "materials:\n" HIDE "\n" PARTS, "cloth=hide", "the name hide is taken", 5},
        {HEAD "materials: {}\n" PARTS, "cloth", "on lines of their own", 4},
        {HEAD "materials: {hide: {kind: leather}}\n" PARTS, "cloth", "on lines of their own", 4},
        {"{cordwain: style/1, name: N, code: C}\n", "cloth", "on lines of their own", 1},
        {HEAD "materials: unknown\n" PARTS, "cloth", "materials", 4},
        {HEAD "materials:\n" PARTS, "cloth", "materials", 4},
        {HEAD "materials: [hide]\n" PARTS, "cloth", "materials", 4},
        {"cordwain: factory/1\nname: N\n", "cloth", "expected style/1", 1},
    };
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        Bench bench = bench_of(refused[i].style, strlen(refused[i].style));
        assert_false(insert(&bench, refused[i].wanted));
        assert_int_equal(bench.text.length, 0);
        assert_int_equal(bench.messages.errors, 1);
        if (strstr(bench.messages.items[0].text, refused[i].says) == NULL)
            fail_msg("%s: %s", refused[i].style, bench.messages.items[0].text);
        assert_int_equal(bench.messages.items[0].at.line, refused[i].line);
        bench_free(&bench);
    }
}

static void two_go_in_order_and_not_by_one_name(void **state)
{
    (void)state;
    static const char style[] = HEAD "materials:\n" HIDE "\n" PARTS;
    Bench bench = bench_of(style, strlen(style));
    CatalogueChoice choices[2];
    assert_true(
        catalogue_choose(bench.catalogue, &bench.arena, "cloth=b", &choices[0], &bench.messages));
    choices[1] = choices[0];
    assert_false(catalogue_text(bench.style, choices, 2, &bench.text, &bench.messages));
    assert_int_equal(bench.messages.errors, 1);
    choices[1].name = "a";
    assert_true(catalogue_text(bench.style, choices, 2, &bench.text, &bench.messages));
    const char *b = strstr(bench.text.bytes, "\n  b:\n"), *a = strstr(bench.text.bytes, "\n  a:\n");
    assert_non_null(b);
    assert_non_null(a);
    assert_true(b < a);
    bench_free(&bench);
}

/* Line breaks, escapes and keys in what the catalogue says end no comment. */
static void comments_stay_comments(void **state)
{
    (void)state;
    static const char style[] = HEAD "materials:\n" HIDE "\n" PARTS;
    Bench bench = bench_of(style, strlen(style));
    assert_true(insert(&bench, "nasty"));
    for (size_t i = 0; i < bench.text.length; i++)
        assert_true((unsigned char)bench.text.bytes[i] >= ' ' || bench.text.bytes[i] == '\n');
    assert_null(strstr(bench.text.bytes, "\xE2\x80\xAE"));
    assert_non_null(strstr(bench.text.bytes, "\n    hard: unknown\n"));
    assert_non_null(strstr(bench.text.bytes, "\n    thickness: 1..2 mm\n"));
    assert_null(strstr(bench.text.bytes, "\n    hard: true\n"));
    bench_free(&bench);
}

/* ---- The demo styles ---- */

static void read_in_all_ways(YamlFile *file, Messages *messages, size_t materials)
{
    const YamlNode *alternatives = yaml_get(file->root, "alternatives");
    size_t count = alternatives != NULL ? alternatives->count : 0;
    for (size_t i = 0; i <= count; i++) {
        const char *name = i > 0 ? alternatives->keys[i - 1]->text : NULL;
        Style *style = style_from_tree(file, name, NULL, 0, messages);
        assert_non_null(style);
        assert_int_equal(style->lists[SUBJECT_MATERIAL].count, materials);
        style_free(style);
    }
}

/* The whole catalogue at once, into each. */
static void demo_styles_take_the_whole_catalogue(void **state)
{
    (void)state;
    static const char *const styles[] = {"styles/skerry.yaml", "styles/fairlead.yaml",
                                         "styles/pebble.yaml"};
    for (size_t s = 0; s < sizeof styles / sizeof *styles; s++) {
        Arena arena = {0};
        Messages messages = {0};
        Text text = {0};
        Catalogue *catalogue = catalogue_read("rules/catalogue/materials.yaml", &messages);
        YamlFile *file = yaml_read(&arena, styles[s], false, &messages);
        assert_non_null(catalogue);
        assert_non_null(file);
        size_t count = catalogue->count, before = yaml_get(file->root, "materials")->count;
        CatalogueChoice *choices = ARENA_NEW(&arena, CatalogueChoice, count);
        for (size_t i = 0; i < count; i++)
            choices[i] =
                (CatalogueChoice){&catalogue->kinds[i],
                                  arena_printf(&arena, "from-%s", catalogue->kinds[i].record->id)};
        assert_true(catalogue_text(file, choices, count, &text, &messages));
        size_t same = 0, added = text.length - file->length;
        while (file->bytes[same] == text.bytes[same])
            same++;
        assert_memory_equal(text.bytes + same + added, file->bytes + same, file->length - same);
        YamlFile *again =
            yaml_read_bytes(&arena, styles[s], text.bytes, text.length, false, &messages);
        assert_non_null(again);
        read_in_all_ways(again, &messages, before + count);
        assert_int_equal(messages.errors, 0);
        text_free(&text);
        catalogue_free(catalogue);
        messages_free(&messages);
        arena_free(&arena);
    }
}

/* A style judged with all base rules. */
typedef struct Judged {
    Arena arena;
    Style *style;
    Judgement *judgement;
} Judged;

static Judged judge_text(const char *path, const char *bytes, size_t length, const RuleSet *rules,
                         const Factory *factory)
{
    Judged judged = {0};
    Messages messages = {0};
    YamlFile *file = yaml_read_bytes(&judged.arena, path, bytes, length, false, &messages);
    judged.style = style_from_tree(file, NULL, NULL, 0, &messages);
    assert_non_null(judged.style);
    judged.judgement = judge(judged.style, rules, factory);
    messages_free(&messages);
    return judged;
}

static void judged_free(Judged *judged)
{
    judgement_free(judged->judgement);
    style_free(judged->style);
    arena_free(&judged->arena);
}

/* As before but for places of the material `name`, which is written and used nowhere. */
static void compare_findings(const Judgement *before, const Judgement *after, const char *name)
{
    size_t added = 0;
    for (size_t i = 0; i < after->count; i++) {
        const Finding *new = &after->findings[i], *old = &before->findings[i - added];
        if (strcmp(new->place, name) == 0) {
            assert_int_not_equal(new->verdict, VERDICT_PASS);
            added++;
            continue;
        }
        assert_true(i - added < before->count);
        assert_string_equal(new->rule->id, old->rule->id);
        assert_string_equal(new->place, old->place);
        assert_int_equal(new->verdict, old->verdict);
    }
    assert_int_equal(after->count, before->count + added);
}

static void a_style_is_judged_as_before(void **state)
{
    (void)state;
    Arena arena = {0};
    Messages messages = {0};
    Text text = {0};
    const char *const *paths;
    size_t count;
    CatalogueChoice choice;
    Factory *factory = factory_read("rules/factories/harbour.yaml", &messages);
    assert_true(rules_in_folder(&arena, "rules/base", &paths, &count, &messages));
    RuleSet *rules = rules_read(paths, count, factory, &messages);
    Catalogue *catalogue = catalogue_read("rules/catalogue/materials.yaml", &messages);
    YamlFile *file = yaml_read(&arena, "styles/pebble.yaml", false, &messages);
    assert_int_equal(messages.errors, 0);
    assert_true(catalogue_choose(catalogue, &arena, "calf-upper=new-calf", &choice, &messages));
    assert_true(catalogue_text(file, &choice, 1, &text, &messages));
    Judged before = judge_text(file->path, file->bytes, file->length, rules, factory);
    Judged after = judge_text(file->path, text.bytes, text.length, rules, factory);
    compare_findings(before.judgement, after.judgement, "material new-calf");
    judged_free(&before);
    judged_free(&after);
    text_free(&text);
    catalogue_free(catalogue);
    rules_free(rules);
    factory_free(factory);
    messages_free(&messages);
    arena_free(&arena);
}

/* ---- On the disk ---- */

static void a_file_is_replaced_if_it_is_still_the_same(void **state)
{
    (void)state;
    static const char style[] = HEAD "materials:\n" HIDE "\n" PARTS;
    Arena arena = {0};
    Messages messages = {0};
    char path[SCRATCH_LENGTH];
    scratch_write(path, style, strlen(style));
    Catalogue *catalogue = catalogue_read_bytes("c.yaml", kinds, strlen(kinds), &messages);
    YamlFile *file = yaml_read(&arena, path, false, &messages);
    assert_non_null(file);
    const CatalogueChoice cloth = {&catalogue->kinds[0], "cloth"},
                          other = {&catalogue->kinds[0], "other"};
    assert_int_equal(catalogue_insert(file, &cloth, 1, &messages), FILE_SAVED);
    assert_int_equal(messages.count, 0);
    /* What was read is out of date now. */
    assert_int_equal(catalogue_insert(file, &other, 1, &messages), FILE_CHANGED);
    assert_int_equal(messages.errors, 1);
    file = yaml_read(&arena, path, false, &messages);
    assert_int_equal(yaml_get(file->root, "materials")->count, 2);
    assert_int_equal(catalogue_insert(file, &cloth, 1, &messages), FILE_UNSAVED);
    assert_int_equal(catalogue_insert(file, &other, 1, &messages), FILE_SAVED);
    file = yaml_read(&arena, path, false, &messages);
    assert_int_equal(yaml_get(file->root, "materials")->count, 3);
    assert_int_equal(unlink(path), 0);
    catalogue_free(catalogue);
    messages_free(&messages);
    arena_free(&arena);
}

static void standard_input_has_no_file(void **state)
{
    (void)state;
    static const char style[] = HEAD "materials:\n" HIDE "\n" PARTS;
    Bench bench = bench_of(style, strlen(style));
    const CatalogueChoice cloth = {&bench.catalogue->kinds[0], "cloth"};
    bench.style->path = "-";
    assert_int_equal(catalogue_insert(bench.style, &cloth, 1, &bench.messages), FILE_UNSAVED);
    assert_non_null(strstr(bench.messages.items[0].text, "standard input"));
    bench_free(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_are_added_and_nothing_else),
        cmocka_unit_test(refusals_say_why_and_add_nothing),
        cmocka_unit_test(two_go_in_order_and_not_by_one_name),
        cmocka_unit_test(comments_stay_comments),
        cmocka_unit_test(demo_styles_take_the_whole_catalogue),
        cmocka_unit_test(a_style_is_judged_as_before),
        cmocka_unit_test(a_file_is_replaced_if_it_is_still_the_same),
        cmocka_unit_test(standard_input_has_no_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
