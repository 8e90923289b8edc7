/* One file read again and again with a shelf: the same as without, its drawings read and
 * its lines measured once; what went wrong is told each time. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "style/style.h"

static Patch patch_of(Arena *arena, const char *path, const char *value)
{
    Messages messages = {0};
    YamlFile *file = yaml_read_bytes(arena, "edit", value, strlen(value), false, &messages);
    assert_non_null(file);
    messages_free(&messages);
    return (Patch){path, file->root, file->root};
}

static YamlFile *skerry(Arena *arena)
{
    Messages messages = {0};
    YamlFile *file = yaml_read(arena, "styles/skerry.yaml", false, &messages);
    assert_non_null(file);
    messages_free(&messages);
    return file;
}

static void assert_same_numbers(const Style *a, const Style *b)
{
    static const Subject subjects[] = {SUBJECT_PART, SUBJECT_EDGE, SUBJECT_BEND};
    for (size_t s = 0; s < 3; s++) {
        const RecordList *x = &a->lists[subjects[s]], *y = &b->lists[subjects[s]];
        assert_int_equal(x->count, y->count);
        for (size_t i = 0; i < x->count; i++) {
            assert_string_equal(x->items[i]->path, y->items[i]->path);
            for (FieldId id = field_first(subjects[s]); id < field_end(subjects[s]); id++) {
                const Value *one = record_value(x->items[i], id),
                            *other = record_value(y->items[i], id);
                assert_int_equal(one->presence, other->presence);
                assert_memory_equal(&one->quantity.nominal, &other->quantity.nominal,
                                    sizeof(double));
                assert_int_equal(one->drawn != NULL, other->drawn != NULL);
            }
        }
    }
}

static void test_same_with_a_shelf(void **state)
{
    (void)state;
    static const char *const alternatives[] = {"turned", NULL, "turned-rounded", "turned"};
    Arena arena = {0};
    Messages messages = {0};
    YamlFile *file = skerry(&arena);
    StyleShelf *shelf = style_shelf_new();
    Patch patch = patch_of(&arena, "materials.hull-suede.thickness", "2 mm");
    for (size_t i = 0; i < 4; i++) {
        Style *fresh = style_from_tree(file, alternatives[i], &patch, 1, &messages);
        Style *kept = style_from_shelf(shelf, file, alternatives[i], &patch, 1, &messages);
        assert_non_null(fresh);
        assert_non_null(kept);
        assert_same_numbers(fresh, kept);
        if (i == 3) {
            Style *again = style_from_shelf(shelf, file, alternatives[i], &patch, 1, &messages);
            assert_ptr_equal(again->drawn[0].outline.edges, kept->drawn[0].outline.edges);
            style_free(again);
        }
        style_free(kept);
        style_free(fresh);
    }
    style_shelf_free(shelf);
    messages_free(&messages);
    arena_free(&arena);
}

static void assert_refused(StyleShelf *shelf, YamlFile *file, const Patch *patch)
{
    Messages messages = {0};
    assert_null(style_from_shelf(shelf, file, "turned", patch, 1, &messages));
    assert_true(messages.errors > 0);
    messages_free(&messages);
}

static void test_errors_are_told_each_time(void **state)
{
    (void)state;
    Arena arena = {0};
    Messages messages = {0};
    YamlFile *file = skerry(&arena);
    StyleShelf *shelf = style_shelf_new();
    /* a file that is no drawing; a line that does not close its part's outline */
    Patch drawing = patch_of(&arena, "drawing", "[skerry.svg, skerry.yaml]");
    Patch line = patch_of(&arena, "parts.vamp.edges.throat.path", "\"M 0 0 L 5 5\"");
    for (int i = 0; i < 3; i++) {
        assert_refused(shelf, file, &drawing);
        assert_refused(shelf, file, &line);
    }
    Style *style = style_from_shelf(shelf, file, "turned", NULL, 0, &messages);
    assert_non_null(style);
    style_free(style);
    style_shelf_free(shelf);
    messages_free(&messages);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_same_with_a_shelf),
        cmocka_unit_test(test_errors_are_told_each_time),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
