/* Styles edited at random, step by step and back again: what is measured from a shelf
 * is, bit for bit, what is measured afresh. */
#include "property/demo_support.h"

#include <stdio.h>

static const HouseValues house = {.leather_thickness = 0.2,
                                  .sheet_thickness = 0.1,
                                  .skive = 0.1,
                                  .line = 0.3,
                                  .row = 0.3,
                                  .gap_together = 0.1,
                                  .gap_apart = 0.3,
                                  .girth_step = 5};

/* ---- Edits ---- */

/* What a kind of record is changed to; NULL removes. */
typedef struct Change {
    Subject subject;
    const char *key; /* NULL: the whole record */
    const char *values[4];
} Change;

static const Change changes[] = {
    {SUBJECT_MATERIAL, "thickness", {"1.1 mm", "0.9 ± 0.05 mm", "2.6 mm", "unknown"}},
    {SUBJECT_MATERIAL, "compresses", {"5..15 %", "0..20 %", "10 %", "unknown"}},
    {SUBJECT_PART, "width", {"3 mm", "9 mm", "5 mm", "unknown"}},
    {SUBJECT_PART, "layer", {"1", "2", "3", "4"}},
    {SUBJECT_PART, "role", {"upper", "lining", "reinforcement", "unknown"}},
    {SUBJECT_PART, NULL, {NULL, NULL, NULL, NULL}},
    {SUBJECT_EDGE, "allowance", {"0 mm", "6 mm", "9 mm", "unknown"}},
    {SUBJECT_EDGE, "left", {"2 mm", "3 mm", "exactly 5 mm", NULL}},
    {SUBJECT_EDGE,
     "skive",
     {"{width: 9 mm, left: 0.4 mm, form: taper}", "{width: 6 mm, left: 0.7 mm, form: step}",
      "unknown", NULL}},
    {SUBJECT_EDGE, "skive.width", {"7 mm", "12 mm", "0 mm", "unknown"}},
    {SUBJECT_EDGE, "skive.left", {"0.3 mm", "0.5 ± 0.1 mm", "0.8 mm", "unknown"}},
    {SUBJECT_EDGE, "finish", {"raw", "folded", "turned", "unknown"}},
    {SUBJECT_EDGE, "finish", {"lasted", "bound", "raw", "folded"}},
    {SUBJECT_EDGE, "binding.shows", {"2 mm", "4 mm", "3 mm", "unknown"}},
    {SUBJECT_EDGE, "relief", {"clipped", "notched", "pleated", "unknown"}},
    {SUBJECT_EDGE, "grade", {"hold", "scale", "unknown", NULL}},
    /* CHANGES_OF_SEAMS: those of rows, seams and the last */
    {SUBJECT_ROW, "from_edge", {"1.5 mm", "3 mm", "exactly 2.5 mm", "unknown"}},
    {SUBJECT_ROW, "pitch", {"2 mm", "2.5 mm", "1.8 mm", "unknown"}},
    {SUBJECT_ROW, "does", {"seam", "topstitch", "unknown", NULL}},
    {SUBJECT_SEAM, "join", {"lapped", "closed", "butted", "turned"}},
    {SUBJECT_SEAM, "marks", {"[3 mm, 9 mm]", "[5 mm]", "[2 mm, unknown]", NULL}},
    {SUBJECT_SEAM, "flip", {"true", "false", "unknown", NULL}},
    {SUBJECT_LAST, "length", {"282 mm", "277 mm", "unknown", NULL}},
    {SUBJECT_LAST, "girth", {"252 mm", "249 mm", "unknown", NULL}},
};
enum { CHANGES = sizeof changes / sizeof changes[0], STEPS_MOST = 128, CHANGES_OF_SEAMS = 16 };

typedef struct Editing {
    Arena arena;
    YamlFile *file;
    const char *alternative;
    StyleShelf *styles;
    MeasureShelf *shelf;
    Patch patches[STEPS_MOST];
    size_t count;
    uint32_t random;
    size_t measured; /* how many edits the style could be read with */
} Editing;

static uint32_t draw(Editing *e, size_t below)
{
    e->random = e->random * 1664525u + 1013904223u;
    return (uint32_t)((e->random >> 8) % below);
}

static const YamlNode *typed(Editing *e, const char *value)
{
    Messages messages = {0};
    const char *text = arena_printf(&e->arena, "v: %s\n", value);
    YamlFile *file = yaml_read_bytes(&e->arena, "edit", text, strlen(text), false, &messages);
    assert_non_null(file);
    messages_free(&messages);
    return yaml_get(file->root, "v");
}

static const char *path_of(Editing *e, const Record *record)
{
    Arena *arena = &e->arena;
    switch (record->subject) {
    case SUBJECT_MATERIAL:
        return arena_printf(arena, "materials.%s", record->path);
    case SUBJECT_PART:
        return arena_printf(arena, "parts.%s", record->path);
    case SUBJECT_EDGE:
        return arena_printf(arena, "parts.%s.edges.%s", record->owner->path, record->id);
    case SUBJECT_SEAM:
        return arena_printf(arena, "seams.%s", record->path);
    case SUBJECT_ROW:
        return arena_printf(arena, "seams.%s.rows.%s", record->owner->path, record->id);
    default:
        return "last";
    }
}

/* Of the changes from..CHANGES-1. */
static Patch change_at_random(Editing *e, const Style *style, size_t from)
{
    const Change *change = &changes[from + draw(e, CHANGES - from)];
    const RecordList *list = &style->lists[change->subject];
    const char *value = change->values[draw(e, 4)];
    if (list->count == 0)
        return (Patch){"last.length", typed(e, "281 mm"), NULL};
    const char *path = path_of(e, list->items[draw(e, list->count)]);
    if (change->key)
        path = arena_printf(&e->arena, "%s.%s", path, change->key);
    return (Patch){path, value ? typed(e, value) : NULL, NULL};
}

static Patch inset_at_random(Editing *e, const Style *style)
{
    const Backing *backing = &style->backings[draw(e, style->backing_count)];
    const char *edge = backing->insets[draw(e, backing->inset_count)].edge;
    const char *amount = draw(e, 5) ? arena_printf(&e->arena, "%u mm", draw(e, 9)) : "unknown";
    return (Patch){edge ? arena_printf(&e->arena, "parts.%s.inset.%s", backing->part->path, edge)
                        : arena_printf(&e->arena, "parts.%s.inset", backing->part->path),
                   typed(e, amount), NULL};
}

/* The same line, its inner points moved by up to 1.6 mm. */
static Patch line_at_random(Editing *e, const Style *style)
{
    const DrawnPart *part = &style->drawn[draw(e, style->drawn_count)];
    size_t edge = draw(e, part->outline.count);
    const Path *path = &part->outline.edges[edge].path;
    Point start = path_start(path);
    char *text = arena_printf(&e->arena, "M %.9f %.9f", start.x, -start.y);
    for (size_t i = 0; i < path->count; i++) {
        const Point *p = path->pieces[i].p;
        double off = 0.4 * draw(e, 5);
        text = arena_printf(&e->arena, "%s C %.9f %.9f %.9f %.9f %.9f %.9f", text, p[1].x + off,
                            -p[1].y, p[2].x + off, -p[2].y, p[3].x, -p[3].y);
    }
    return (Patch){arena_printf(&e->arena, "%s.path", path_of(e, part->edges[edge])),
                   typed(e, text), NULL};
}

/* ---- Comparing ---- */

static void same_numbers(const double *one, const double *other, size_t count, const char *what)
{
    if (count && memcmp(one, other, count * sizeof *one) != 0)
        fail_msg("%s: not the same bits", what);
}

static void same_text(const char *one, const char *other)
{
    assert_int_equal(one != NULL, other != NULL);
    if (one)
        assert_string_equal(one, other);
}

static void same_where(Where one, Where other)
{
    assert_int_equal(one.line, other.line);
    assert_int_equal(one.column, other.column);
    same_text(one.file, other.file);
}

static void same_origin(const Origin *one, const Origin *other)
{
    assert_int_equal(one != NULL, other != NULL);
    if (!one)
        return;
    assert_int_equal(one->kind, other->kind);
    assert_int_equal(one->graded, other->graded);
    assert_int_equal(one->assumed, other->assumed);
    assert_ptr_equal(one->source, other->source);
    same_where(one->at, other->at);
    same_text(one->note, other->note);
}

static void same_field(const Columns *one, const Columns *other, FieldId id)
{
    const Column *a = &one->fields[id], *b = &other->fields[id];
    uint32_t records = one->count[field_at(id)->subject];
    assert_int_equal(a->stride, b->stride);
    assert_int_equal(a->nominal != NULL, b->nominal != NULL);
    if (!a->nominal)
        return;
    same_numbers(a->nominal, b->nominal, (size_t)records * a->stride, field_at(id)->name);
    same_numbers(a->lo, b->lo, (size_t)records * a->stride, field_at(id)->name);
    same_numbers(a->hi, b->hi, (size_t)records * a->stride, field_at(id)->name);
    for (uint32_t i = 0; i < records; i++)
        same_origin(a->origins[i], b->origins[i]);
}

static void same_relation(const Columns *one, const Columns *other, size_t i)
{
    size_t count;
    const Relation *relation = &relation_table(&count)[i];
    uint32_t records = one->count[relation->from];
    if (!relation->many) {
        assert_int_equal(one->ones[i].stride, other->ones[i].stride);
        if (records)
            assert_memory_equal(one->ones[i].index, other->ones[i].index,
                                records * one->ones[i].stride * sizeof(int32_t));
        return;
    }
    const ManyColumn *a = &one->manys[i], *b = &other->manys[i];
    assert_memory_equal(a->start, b->start, (records + 1) * sizeof *a->start);
    for (uint32_t r = 0; r < records; r++)
        assert_int_equal(a->unknown[r], b->unknown[r]);
    if (a->start[records])
        assert_memory_equal(a->items, b->items, a->start[records] * sizeof *a->items);
}

static void same_columns(const Columns *one, const Columns *other)
{
    size_t relations;
    relation_table(&relations);
    assert_int_equal(one->lane_count, other->lane_count);
    for (int subject = 0; subject < SUBJECT_COUNT; subject++) {
        assert_int_equal(one->count[subject], other->count[subject]);
        for (uint32_t i = 0; i < one->count[subject]; i++) {
            same_text(one->names[subject][i], other->names[subject][i]);
            same_where(one->places[subject][i], other->places[subject][i]);
        }
    }
    for (int id = 0; id < FIELD_ID_COUNT; id++)
        same_field(one, other, (FieldId)id);
    for (size_t i = 0; i < relations; i++)
        same_relation(one, other, i);
}

static void same_line(const Line *one, const Line *other)
{
    assert_int_equal(one->count, other->count);
    assert_memory_equal(one->points, other->points, one->count * sizeof *one->points);
}

static void same_lay(const Lay *one, const Lay *other)
{
    assert_int_equal(one != NULL, other != NULL);
    if (!one)
        return;
    assert_int_equal(one->count, other->count);
    assert_int_equal(one->whole, other->whole);
    for (size_t i = 0; i < one->count; i++) {
        const LaidPart *a = &one->parts[i], *b = &other->parts[i];
        assert_ptr_equal(a->part, b->part);
        assert_ptr_equal(a->sheet, b->sheet);
        same_line(&a->outline, &b->outline);
        assert_int_equal(a->edge_count, b->edge_count);
        for (size_t k = 0; k < a->edge_count; k++) {
            assert_ptr_equal(a->edges[k].edge, b->edges[k].edge);
            assert_true(a->edges[k].length == b->edges[k].length);
            same_line(&a->edges[k].line, &b->edges[k].line);
        }
    }
}

static void same_rows(const Measured *one, const Measured *other, uint32_t size)
{
    const RowLine *a, *b;
    size_t count = measured_rows(one, size, &a);
    assert_int_equal(measured_rows(other, size, &b), count);
    for (size_t i = 0; i < count; i++) {
        assert_ptr_equal(a[i].seam, b[i].seam);
        assert_ptr_equal(a[i].row, b[i].row);
        assert_ptr_equal(a[i].sheet, b[i].sheet);
        same_line(&a[i].line, &b[i].line);
    }
}

static void same_layers(const MetLayer *one, const MetLayer *other)
{
    assert_ptr_equal(one->part, other->part);
    const double a[] = {one->times, one->thickness, one->folded, one->pressed};
    const double b[] = {other->times, other->thickness, other->folded, other->pressed};
    same_numbers(a, b, 4, "a layer");
}

static void same_profile(Measured *one, Measured *other, const Record *row, uint32_t size)
{
    Arena arena = {0};
    RowProfile a = {0}, b = {0};
    bool found = measured_profile(one, &arena, row, size, 0, &a);
    assert_int_equal(measured_profile(other, &arena, row, size, 0, &b), found);
    assert_int_equal(a.count, b.count);
    for (size_t i = 0; i < a.count; i++) {
        const MetStretch *x = &a.stretches[i], *y = &b.stretches[i];
        const double ends[] = {x->from, x->to, x->stack_from, x->stack_to};
        const double others[] = {y->from, y->to, y->stack_from, y->stack_to};
        same_numbers(ends, others, 4, row->path);
        assert_int_equal(x->count, y->count);
        for (size_t k = 0; k < x->count; k++)
            same_layers(&x->layers[k], &y->layers[k]);
    }
    arena_free(&arena);
}

static void same_measures(Editing *e, const Style *style, Measured *one)
{
    Measured *other = measured_new(style, NULL, &house);
    const Columns *columns = measured_columns(one);
    uint32_t sizes = columns->lanes[columns->lane_count - 1].size_index + 1;
    const RecordList *rows = &style->lists[SUBJECT_ROW];
    same_columns(columns, measured_columns(other));
    for (uint32_t size = 0; size < sizes; size++) {
        same_lay(measured_lay(one, size), measured_lay(other, size));
        same_rows(one, other, size);
    }
    for (int i = 0; rows->count && i < 5; i++)
        same_profile(one, other, rows->items[draw(e, rows->count)], draw(e, sizes));
    measured_free(other);
}

/* ---- Going on and back ---- */

static Style *read_edited(Editing *e)
{
    Messages messages = {0};
    Style *style =
        style_from_shelf(e->styles, e->file, e->alternative, e->patches, e->count, &messages);
    messages_free(&messages);
    return style;
}

static void measure_again(Editing *e, Style *style)
{
    Measured *measured = measured_from_shelf(e->shelf, style, NULL, &house);
    same_measures(e, style, measured);
    measured_free(measured);
    e->measured++;
}

/* One more edit, or the last one undone; what cannot be read is not tried. */
static void step(Editing *e, const Style *first)
{
    uint32_t kind = draw(e, 10);
    size_t before = e->count;
    if (kind < 2 && e->count > 0)
        e->count--;
    else if (kind < 3 && first->backing_count && first->backings[0].inset_count)
        e->patches[e->count++] = inset_at_random(e, first);
    else if (kind < 6 && first->drawn_count)
        e->patches[e->count++] = line_at_random(e, first);
    else
        e->patches[e->count++] = change_at_random(e, first, kind < 8 ? 0 : CHANGES_OF_SEAMS);
    Style *style = read_edited(e);
    if (style)
        measure_again(e, style);
    else
        e->count = before;
    style_free(style);
}

static Editing begin(const char *path, const char *alternative, uint32_t seed)
{
    Messages messages = {0};
    Editing e = {.alternative = alternative, .random = seed};
    e.file = yaml_read(&e.arena, path, true, &messages);
    e.styles = style_shelf_new();
    e.shelf = measure_shelf_new();
    messages_free(&messages);
    return e;
}

static void end(Editing *e)
{
    measure_shelf_free(e->shelf);
    style_shelf_free(e->styles);
    arena_free(&e->arena);
}

/* The first of them is kept while the others come and go: what it was measured on
 * stays its own. */
static void edit(const char *path, const char *alternative, uint32_t seed, size_t steps)
{
    Editing e = begin(path, alternative, seed);
    Style *first = read_edited(&e);
    assert_non_null(first);
    Measured *kept = measured_from_shelf(e.shelf, first, NULL, &house);
    for (size_t i = 0; i < steps && e.count < STEPS_MOST; i++)
        step(&e, first);
    same_measures(&e, first, kept);
    assert_true(e.measured > steps / 3);
    measured_free(kept);
    style_free(first);
    end(&e);
}

/* What is written so already, but for its tolerance. */
static void tolerances_alone(void **state)
{
    static const char *const edits[][2] = {
        {"seams.collar.rows.1.from_edge", "exactly 2 mm"},
        {"seams.back-seam.rows.1.from_edge", "2 ± 1.9 mm"},
        {"seams.back-seam.rows.1.from_edge", "2 ± 0.2 mm"},
        {"seams.lining-back-lat.rows.1.from_edge", "2 ± 0.5 mm"},
        {"materials.hull-suede.thickness", "exactly 1.4 mm"},
        {"materials.cove-leather.thickness", "0.8 mm"},
        {"parts.eyestay-lat.edges.facing.skive.left", "exactly 0.8 mm"},
        {"parts.eyestay-lat.edges.facing.skive.width", "11 ± 2 mm"},
        {"parts.eyestay-lat.edges.facing.allowance", "exactly 5 mm"},
        {"parts.eyestay-lat.edges.facing.left", "5 mm"}};
    (void)state;
    Editing e = begin("styles/skerry.yaml", NULL, 6);
    for (size_t i = 0; i < sizeof edits / sizeof edits[0]; i++) {
        Style *style = read_edited(&e);
        measure_again(&e, style);
        style_free(style);
        e.patches[e.count++] = (Patch){edits[i][0], typed(&e, edits[i][1]), NULL};
    }
    Style *style = read_edited(&e);
    assert_non_null(style);
    measure_again(&e, style);
    style_free(style);
    end(&e);
}

static void skerry(void **state)
{
    (void)state;
    edit("styles/skerry.yaml", NULL, 1, 50 / demo_stride(1, 10));
}

static void skerry_turned(void **state)
{
    (void)state;
    edit("styles/skerry.yaml", "turned", 2, 35 / demo_stride(1, 10));
}

static void skerry_rounded(void **state)
{
    (void)state;
    edit("styles/skerry.yaml", "turned-rounded", 3, 35 / demo_stride(1, 10));
}

static void fairlead(void **state)
{
    (void)state;
    edit("styles/fairlead.yaml", NULL, 4, 60 / demo_stride(1, 6));
}

static void pebble(void **state)
{
    (void)state;
    edit("styles/pebble.yaml", NULL, 5, 60 / demo_stride(1, 6));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(skerry),         cmocka_unit_test(skerry_turned),
        cmocka_unit_test(skerry_rounded), cmocka_unit_test(tolerances_alone),
        cmocka_unit_test(fairlead),       cmocka_unit_test(pebble),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
