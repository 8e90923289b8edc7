/* Pictures of the demo: what they show, and that they agree with what is judged. */
#include "field/field.h"
#include "figure/picture.h"
#include "figure_kit.h"

/* ---- A style ready to be drawn ---- */

typedef struct Drawn {
    Arena arena;
    Messages messages;
    Style *style;
    Factory *factory;
    HouseValues house;
    PictureBase base;
    Text why;
} Drawn;

static void open_style(Drawn *d, const char *path, const char *alternative, bool factory)
{
    *d = (Drawn){.house = {0.1, 0.1, 0.1, 0.5, 0.5, 0.1, 0.2, 5}};
    d->style = style_read(path, alternative, NULL, 0, &d->messages);
    assert_non_null(d->style);
    if (factory)
        d->factory = factory_read("rules/factories/harbour.yaml", &d->messages);
    d->base = (PictureBase){.style = d->style, .factory = d->factory};
    d->base.measured = measured_new(d->style, d->factory, &d->house);
    d->base.size = measured_base_size(d->base.measured);
}

static void open_demo(Drawn *d, const char *alternative, bool factory)
{
    open_style(d, "styles/skerry.yaml", alternative, factory);
}

static void close_style(Drawn *d)
{
    measured_free(d->base.measured);
    style_free(d->style);
    if (d->factory)
        factory_free(d->factory);
    text_free(&d->why);
    messages_free(&d->messages);
    arena_free(&d->arena);
}

static const Record *named(const Drawn *d, Subject subject, const char *path)
{
    const Record *record = record_find(&d->style->lists[subject], path);
    assert_non_null(record);
    return record;
}

static uint32_t size_called(const Drawn *d, const char *name, uint32_t *lane)
{
    const Columns *columns = measured_columns(d->base.measured);
    for (*lane = 0; *lane < columns->lane_count; (*lane)++)
        if (strcmp(columns->lanes[*lane].size, name) == 0)
            return columns->lanes[*lane].size_index;
    fail_msg("no size %s", name);
    return 0;
}

/* ---- What is in a figure ---- */

static size_t count_of(const Figure *figure, ShapeKind kind, Pen pen)
{
    size_t count = 0;
    for (size_t i = 0; i < figure->count; i++)
        count += figure->shapes[i].kind == kind && figure->shapes[i].pen == pen;
    return count;
}

static const Shape *first_of(const Figure *figure, ShapeKind kind, Pen pen)
{
    for (size_t i = 0; i < figure->count; i++)
        if (figure->shapes[i].kind == kind && figure->shapes[i].pen == pen)
            return &figure->shapes[i];
    fail_msg("no such shape");
    return NULL;
}

static size_t labels_saying(const Figure *figure, const char *text)
{
    size_t count = 0;
    for (size_t i = 0; i < figure->count; i++)
        count += figure->shapes[i].kind == SHAPE_LABEL && strcmp(figure->shapes[i].text, text) == 0;
    return count;
}

static void says(const Figure *figure, const char *words)
{
    if (strstr(text_string(&figure->notes), words) == NULL)
        fail_msg("\"%s\" is not in:\n%s", words, text_string(&figure->notes));
}

static void about(double got, double expected, double off)
{
    if (!(fabs(got - expected) <= off))
        fail_msg("%.9g, not %.9g", got, expected);
}

/* ---- Parts ---- */

static void part_names_its_edges_and_marks_the_tightest_bend(void **state)
{
    (void)state;
    Drawn d;
    Figure figure;
    open_demo(&d, NULL, false);
    const Record *vamp = named(&d, SUBJECT_PART, "vamp");
    assert_true(picture_part(&d.arena, &d.base, vamp, NULL, &figure, &d.why));
    const LaidPart *laid = measured_lay(d.base.measured, d.base.size)->of_part[vamp->index];
    for (size_t i = 0; i < laid->edge_count; i++)
        assert_int_equal(labels_saying(&figure, laid->edges[i].edge->id), 1);
    assert_int_equal(count_of(&figure, SHAPE_MARK, PEN_TROUBLE), 1);
    assert_true(count_of(&figure, SHAPE_LINE, PEN_STITCH) >= 6);
    assert_true(count_of(&figure, SHAPE_LINE, PEN_FAINT) > 0);
    says(&figure, "the tightest here: bend vamp.cap-line.1: hollow");
    says(&figure, "Over it: toe-cap.");
    says(&figure, "Under it: vamp-lining.");
    figure_free(&figure);
    close_style(&d);
}

static void bend_is_marked_where_it_is_in_every_size(void **state)
{
    (void)state;
    static const char *const sizes[] = {"36", "42", "46"};
    Drawn d;
    Figure figures[PICTURES_OF_PLACE];
    open_demo(&d, NULL, false);
    const Record *bend = named(&d, SUBJECT_BEND, "vamp.throat.1");
    for (size_t i = 0; i < COUNT_OF(sizes); i++) {
        uint32_t lane;
        d.base.size = size_called(&d, sizes[i], &lane);
        assert_int_equal(picture_place(&d.arena, &d.base, bend, figures, &d.why), 2);
        const Line *line =
            &measured_lay(d.base.measured, d.base.size)->of_edge[bend->owner->index]->line;
        Point at = first_of(&figures[0], SHAPE_MARK, PEN_TROUBLE)->points[0];
        Nearest nearest;
        assert_true(line_nearest(line, at, 0.01, &nearest));
        about(nearest.at, line_length(line) / 2, 0.05); /* the throat is the same on both sides */
        says(&figures[0], "radius 4.5 mm, turns 180 deg");
        figure_free(&figures[0]);
        figure_free(&figures[1]);
    }
    close_style(&d);
}

static void enlarged_bend_lies_on_the_circle_of_its_radius(void **state)
{
    (void)state;
    Drawn d;
    Figure figure;
    open_demo(&d, NULL, false);
    const Record *bend = named(&d, SUBJECT_BEND, "vamp.throat.1");
    assert_true(picture_bend(&d.arena, &d.base, bend, &figure, &d.why));
    Point centre = first_of(&figure, SHAPE_LABEL, PEN_TROUBLE)->points[0];
    const Line *line = &measured_lay(d.base.measured, d.base.size)->of_edge[bend->owner->index]->line;
    double middle = line_length(line) / 2;
    for (double off = -5; off <= 5; off += 1) {
        Point on = line_point(line, middle + off);
        about(hypot(on.x - centre.x, on.y - centre.y), 4.5, 0.02);
    }
    figure_free(&figure);
    close_style(&d);
}

static void holes_are_circles_of_their_bore(void **state)
{
    (void)state;
    static const struct {
        const char *size;
        size_t number;
    } cases[] = {{"36", 4}, {"42", 5}};
    Drawn d;
    Figure figure;
    open_demo(&d, NULL, false);
    const Record *hole = named(&d, SUBJECT_HOLE, "eyelets-lat");
    const Record *part = record_value(hole, HOLE_PART)->record;
    for (size_t i = 0; i < COUNT_OF(cases); i++) {
        uint32_t lane;
        d.base.size = size_called(&d, cases[i].size, &lane);
        assert_true(picture_part(&d.arena, &d.base, part, hole, &figure, &d.why));
        assert_int_equal(count_of(&figure, SHAPE_LINE, PEN_TROUBLE), cases[i].number);
        const Shape *circle = first_of(&figure, SHAPE_LINE, PEN_TROUBLE);
        Box box = {circle->points[0], circle->points[0]};
        for (size_t k = 0; k < circle->count; k++) {
            box.least.x = fmin(box.least.x, circle->points[k].x);
            box.most.x = fmax(box.most.x, circle->points[k].x);
            box.least.y = fmin(box.least.y, circle->points[k].y);
            box.most.y = fmax(box.most.y, circle->points[k].y);
        }
        about(box.most.x - box.least.x, 4.5, 1e-9);
        Point middle = {(box.least.x + box.most.x) / 2, (box.least.y + box.most.y) / 2};
        const Record *along = record_value(hole, HOLE_ALONG)->record;
        const Line *edge = &measured_lay(d.base.measured, d.base.size)->of_edge[along->index]->line;
        Nearest nearest;
        assert_true(line_nearest(edge, middle, 50, &nearest));
        about(nearest.distance, 11, 0.01);
        about(nearest.at, 9, 0.05);
        assert_true(nearest.left);
        figure_free(&figure);
    }
    close_style(&d);
}

static void sheet_names_each_of_its_parts_once(void **state)
{
    (void)state;
    Drawn d;
    open_demo(&d, NULL, false);
    const Lay *lay = measured_lay(d.base.measured, d.base.size);
    assert_true(d.style->sheet_count >= 2);
    for (size_t i = 0; i < d.style->sheet_count; i++) {
        Figure figure;
        assert_true(picture_sheet(&d.arena, &d.base, &d.style->sheets[i], &figure, &d.why));
        for (size_t k = 0; k < lay->count; k++)
            if (!lay->parts[k].other_half) /* of a part drawn to a fold line one half is named */
                assert_int_equal(labels_saying(&figure, lay->parts[k].part->path),
                                 lay->parts[k].sheet == &d.style->sheets[i]);
        figure_free(&figure);
    }
    close_style(&d);
}

/* ---- Rows ---- */

/* The marked height is what the rules judge. */
static void rows_agree_with_what_is_judged(const char *alternative, const char *size)
{
    Drawn d;
    uint32_t lane;
    size_t drawn = 0;
    open_demo(&d, alternative, true);
    d.base.size = size_called(&d, size, &lane);
    const RecordList *rows = &d.style->lists[SUBJECT_ROW];
    const Column *stack = &measured_columns(d.base.measured)->fields[ROW_STACK];
    for (size_t i = 0; i < rows->count; i++) {
        Figure figure;
        if (!picture_row(&d.arena, &d.base, rows->items[i], &figure, &d.why))
            continue;
        drawn++;
        about(first_of(&figure, SHAPE_MARK, PEN_TROUBLE)->points[0].y,
              stack->nominal[column_cell(stack, (uint32_t)i, lane)], 1e-9);
        figure_free(&figure);
    }
    assert_true(drawn >= 10);
    close_style(&d);
}

static void every_row_shows_the_stack_that_is_judged(void **state)
{
    (void)state;
    rows_agree_with_what_is_judged(NULL, "42");
    rows_agree_with_what_is_judged(NULL, "36");
    rows_agree_with_what_is_judged("turned", "46");
}

static void limit_is_that_of_the_machine_that_sews_most(void **state)
{
    (void)state;
    Drawn d;
    Figure figure;
    open_demo(&d, NULL, true);
    assert_true(picture_row(&d.arena, &d.base, named(&d, SUBJECT_ROW, "collar.1"), &figure, &d.why));
    assert_int_equal(count_of(&figure, SHAPE_LINE, PEN_LIMIT), 1);
    about(first_of(&figure, SHAPE_LINE, PEN_LIMIT)->points[0].y, 7, 1e-9);
    assert_int_equal(labels_saying(&figure, "post-1 sews 7 mm"), 1);
    says(&figure, "arm-heavy makes the stitch up to 16 mm");
    figure_free(&figure);
    close_style(&d);
    open_demo(&d, NULL, false);
    assert_true(picture_row(&d.arena, &d.base, named(&d, SUBJECT_ROW, "collar.1"), &figure, &d.why));
    assert_int_equal(count_of(&figure, SHAPE_LINE, PEN_LIMIT), 0);
    says(&figure, "No factory is named");
    figure_free(&figure);
    close_style(&d);
}

/* ---- Sections ---- */

static double height_of_areas(const Figure *figure)
{
    double least = INFINITY, most = -INFINITY;
    for (size_t i = 0; i < figure->count; i++)
        for (size_t k = 0; figure->shapes[i].kind == SHAPE_AREA && k < figure->shapes[i].count; k++) {
            least = fmin(least, figure->shapes[i].points[k].y);
            most = fmax(most, figure->shapes[i].points[k].y);
        }
    return most - least;
}

static size_t areas_of(const Figure *figure)
{
    return count_of(figure, SHAPE_AREA, PEN_FILL) + count_of(figure, SHAPE_AREA, PEN_FILL_OTHER);
}

static void binding_closes_over_the_layers(void **state)
{
    (void)state;
    Drawn d;
    Figure figure;
    open_demo(&d, NULL, false);
    assert_true(picture_section(&d.arena, &d.base, named(&d, SUBJECT_ROW, "tongue-edge.1"), NAN,
                                &figure, &d.why));
    assert_int_equal(areas_of(&figure), 3); /* lining, tongue, binding in one piece */
    about(height_of_areas(&figure), 0.8 + 2.4 + 2 * 0.6, 1e-6);
    says(&figure, "Together 4.4 mm, not pressed.");
    assert_int_equal(labels_saying(&figure, "tongue-binding 0.6 mm"), 1);
    about(first_of(&figure, SHAPE_LINE, PEN_STITCH)->points[0].x, 2, 1e-9);
    figure_free(&figure);
    close_style(&d);
}

static void folded_allowance_turns_round_its_edge(void **state)
{
    (void)state;
    Drawn d;
    Figure figure;
    open_demo(&d, NULL, false);
    assert_true(picture_section(&d.arena, &d.base, named(&d, SUBJECT_ROW, "facing-lat.1"), 40,
                                &figure, &d.why));
    /* The fold bulges over its edge at 0, the lining reaches out 2 mm to be trimmed. */
    double least = INFINITY;
    for (size_t i = 0; i < figure.count; i++)
        if (figure.shapes[i].kind == SHAPE_AREA)
            for (size_t k = 0; k < figure.shapes[i].count; k++)
                least = fmin(least, figure.shapes[i].points[k].x);
    about(least, -2, 1e-9);
    assert_int_equal(labels_saying(&figure, "eyestay-lat, turned back 0.8 mm"), 1);
    assert_int_equal(labels_saying(&figure, "eyestay-lat 0.8 mm"), 1);
    figure_free(&figure);
    close_style(&d);
}

static double right_end(const Shape *area)
{
    double end = -INFINITY;
    for (size_t i = 0; i < area->count; i++)
        end = fmax(end, area->points[i].x);
    return end;
}

static void lap_shows_where_the_underlay_and_its_backing_end(void **state)
{
    (void)state;
    Drawn d;
    Figure figure;
    open_demo(&d, NULL, false);
    assert_true(picture_section(&d.arena, &d.base, named(&d, SUBJECT_ROW, "cap.1"), NAN, &figure,
                                &d.why));
    /* Foot side first: the backing, 5 mm inside of the vamp's cut edge, then the vamp. */
    about(right_end(first_of(&figure, SHAPE_AREA, PEN_FILL)), 9 - 5, 1e-9);
    about(right_end(first_of(&figure, SHAPE_AREA, PEN_FILL_OTHER)), 9, 1e-9);
    assert_int_equal(count_of(&figure, SHAPE_LINE, PEN_STITCH), 2);
    figure_free(&figure);
    close_style(&d);
}

/* Quarter and vamp are of one layer of the style; the quarter laps over the vamp. */
static void layers_stand_from_the_foot_outward(void **state)
{
    (void)state;
    Drawn d;
    Figure figure;
    open_demo(&d, NULL, false);
    assert_true(picture_row(&d.arena, &d.base, named(&d, SUBJECT_ROW, "vamp-quarter-lat.1"), &figure,
                            &d.why));
    says(&figure, "- vamp-backing 0.3 mm\n- vamp 1.4 mm\n- quarter-lat 1.4 mm\n- eyestay-lat 1.4 mm\n");
    figure_free(&figure);
    close_style(&d);
}

/* ---- Typed styles ---- */

static void typed_styles_have_sections_alone(void **state)
{
    (void)state;
    Drawn d;
    Figure figures[PICTURES_OF_PLACE];
    open_style(&d, "styles/pebble.yaml", NULL, false);
    const Record *row = named(&d, SUBJECT_ROW, "topline.1");
    assert_false(picture_row(&d.arena, &d.base, row, &figures[0], &d.why));
    assert_string_equal(d.why.bytes, "nothing is drawn that row topline.1 could be followed on");
    text_clear(&d.why);
    assert_false(picture_part(&d.arena, &d.base, named(&d, SUBJECT_PART, "vamp"), NULL, &figures[0],
                              &d.why));
    assert_string_equal(d.why.bytes, "no line of part vamp is drawn");
    assert_int_equal(picture_place(&d.arena, &d.base, row, figures, &d.why), 1);
    assert_true(areas_of(&figures[0]) >= 2);
    says(&figures[0], "heaviest typed spot");
    says(&figures[0], "No curve: nothing is drawn");
    figure_free(&figures[0]);
    close_style(&d);
}

/* ---- Everything ---- */

static void draw_every_place(const char *path, const char *alternative, const char *size)
{
    static const Subject subjects[] = {SUBJECT_PART, SUBJECT_EDGE, SUBJECT_BEND, SUBJECT_HOLE,
                                       SUBJECT_SEAM, SUBJECT_ROW,  SUBJECT_SPOT};
    Drawn d;
    uint32_t lane;
    open_style(&d, path, alternative, true);
    d.base.size = size_called(&d, size, &lane);
    for (size_t s = 0; s < COUNT_OF(subjects); s++)
        for (size_t i = 0; i < d.style->lists[subjects[s]].count; i++) {
            Figure figures[PICTURES_OF_PLACE];
            text_clear(&d.why);
            size_t count = picture_place(&d.arena, &d.base, d.style->lists[subjects[s]].items[i],
                                         figures, &d.why);
            assert_true(count > 0 || d.why.length > 0);
            for (size_t k = 0; k < count; k++) {
                assert_int_equal(figures[k].refused, 0);
                assert_true(figures[k].count > 0);
                figure_free(&figures[k]);
            }
        }
    close_style(&d);
}

static void every_place_has_a_picture_or_a_reason(void **state)
{
    (void)state;
    draw_every_place("styles/skerry.yaml", NULL, "42");
    draw_every_place("styles/skerry.yaml", "turned", "36");
    draw_every_place("styles/fairlead.yaml", NULL, "6");
    draw_every_place("styles/pebble.yaml", NULL, "26");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(part_names_its_edges_and_marks_the_tightest_bend),
        cmocka_unit_test(bend_is_marked_where_it_is_in_every_size),
        cmocka_unit_test(enlarged_bend_lies_on_the_circle_of_its_radius),
        cmocka_unit_test(holes_are_circles_of_their_bore),
        cmocka_unit_test(sheet_names_each_of_its_parts_once),
        cmocka_unit_test(every_row_shows_the_stack_that_is_judged),
        cmocka_unit_test(limit_is_that_of_the_machine_that_sews_most),
        cmocka_unit_test(binding_closes_over_the_layers),
        cmocka_unit_test(folded_allowance_turns_round_its_edge),
        cmocka_unit_test(lap_shows_where_the_underlay_and_its_backing_end),
        cmocka_unit_test(layers_stand_from_the_foot_outward),
        cmocka_unit_test(typed_styles_have_sections_alone),
        cmocka_unit_test(every_place_has_a_picture_or_a_reason),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
