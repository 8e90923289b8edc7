/* How wide chords may be on a drawn bend: the eye sees how far outline and chord are
 * apart, and a line that bends sharply in one place only leaves wider chords than a
 * circle of that radius. For the files of src/measure only. */
#include "measure/measuring.h"

static const double FACET_MM = 0.2;
/* Arc and turn of an even bend agree with its radius to within this share. */
static const double EVEN_SHARE = 0.01;

enum { HALVINGS = 12 };

/* Of a circle: chord p is p^2/8R + ... off its arc; here solved for the chord. */
static double circle_chord(double radius, double facet)
{
    return radius > facet / 2 ? 2 * sqrt(2 * radius * facet - facet * facet) : NAN;
}

/* The widest chord whose facet is no more than FACET_MM, between the circle's and
 * the whole bend's: facets grow with chords. */
static double widest_chord(const Path *path, const Bend *bend, double least)
{
    double most = fmax(least, 2 * bend->arc);
    if (bends_facet(path, bend, most) <= FACET_MM)
        return most;
    for (int i = 0; i < HALVINGS; i++) {
        double middle = (least + most) / 2;
        if (bends_facet(path, bend, middle) <= FACET_MM)
            least = middle;
        else
            most = middle;
    }
    return least;
}

static double chord_share(const Path *path, const Bend *bend)
{
    double even = bend->radius * bend->turn, circle = circle_chord(bend->radius, FACET_MM);
    if (bend->corner || fabs(bend->arc - even) <= EVEN_SHARE * even || isnan(circle))
        return 1;
    return fmax(1, widest_chord(path, bend, circle) / circle);
}

static double stretched_share(const Path *path, const Bend *bend, Matrix matrix)
{
    Arena arena = {0};
    Path stretched = path_copy(&arena, path);
    path_transform(&stretched, matrix);
    double share = chord_share(&stretched, bend);
    arena_free(&arena);
    return share;
}

static double share_once(const Measuring *m, const DrawnLine *line, const Record *record,
                         Matrix matrix)
{
    const Bend *bend = m->style->bends[record->index];
    const Path *path = &line->part->outline.edges[line->place].path;
    const KeyWord key[] = {{KEY_CHORD},          {m->bends[record->index]}, {.number = matrix.a},
                           {.number = matrix.b}, {.number = matrix.c},      {.number = matrix.d}};
    const size_t words = sizeof key / sizeof key[0];
    const double *found = held_find(m->held, key, words);
    if (found)
        return *found;
    bool as_drawn = matrix.a == 1 && matrix.b == 0 && matrix.c == 0 && matrix.d == 1;
    double share = as_drawn || bend->corner
                       ? chord_share(path, bend)
                       : stretched_share(path, drawn_bend(m, line, record, matrix), matrix);
    *(double *)held_keep(m->held, key, words, sizeof share) = share;
    return share;
}

/* Chords are laid between the cuts of an edge that is turned or folded; nobody asks
 * elsewhere. */
static bool may_be_cut(const Measuring *m, const Record *edge)
{
    int32_t index = (int32_t)edge->index;
    return cell_is(m, EDGE_FINISH, index, "turned") != TRI_NO ||
           cell_is(m, EDGE_FINISH, index, "folded") != TRI_NO;
}

/* Once a size where the bend grows with it. */
static void fill_drawn(Measuring *m, const Record *record, const DrawnLine *line)
{
    double *shares = ARENA_NEW(&m->scratch, double, m->size_count), base = 0;
    for (uint32_t lane = 0; lane < m->columns->fields[BEND_CHORD_SHARE].stride; lane++) {
        bool scales = !m->lanes[lane].base && lane_scales_radius(m, record->index, lane);
        double *share = scales ? &shares[lane_size(m, lane)] : &base;
        Matrix matrix = MATRIX_NONE;
        if (*share == 0)
            *share = !scales || drawn_stretch(m, line, lane, &matrix)
                         ? share_once(m, line, record, matrix)
                         : NAN;
        cell_put(m, BEND_CHORD_SHARE, record->index, lane, span_exact(*share));
    }
}

static void fill_even(Measuring *m, const Record *record)
{
    for (uint32_t lane = 0; lane < m->columns->fields[BEND_CHORD_SHARE].stride; lane++)
        cell_put(m, BEND_CHORD_SHARE, record->index, lane,
                 span_exact(record->placeholder ? NAN : 1));
}

void facets_fill(Measuring *m)
{
    const RecordList *bends = values_list(m, SUBJECT_BEND);
    for (size_t i = 0; i < bends->count; i++) {
        const Record *record = bends->items[i];
        const Bend *bend = m->style->drawn_count ? m->style->bends[i] : NULL;
        const DrawnLine *line = record->owner ? &m->style->lines[record->owner->index] : NULL;
        if (bend && line->part && may_be_cut(m, record->owner))
            fill_drawn(m, record, line);
        else
            fill_even(m, record);
        m->columns->fields[BEND_CHORD_SHARE].origins[i] = origin_derived(
            m, bend ? "chords laid on the drawn line" : "taken as a part of a circle", false);
    }
}
