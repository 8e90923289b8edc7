/* Lines of a part joined to its outline and measured, once for all alternatives.
 * For the style's reader. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "style/drawn.h"

StyleShelf *style_shelf(Arena *arena)
{
    StyleShelf *shelf = ARENA_NEW(arena, StyleShelf, 1);
    shelf->arena = arena;
    return shelf;
}

StyleShelf *style_shelf_new(void)
{
    StyleShelf *shelf = memory_new(1, sizeof *shelf);
    shelf->arena = &shelf->own;
    return shelf;
}

void style_shelf_free(StyleShelf *shelf)
{
    if (!shelf)
        return;
    arena_free(&shelf->own);
    free(shelf);
}

/* Values are known by nodes of trees that live as long as one reading; what may be
 * read and measured is bounded for each. */
void style_shelf_begin(StyleShelf *shelf, Arena *arena)
{
    shelf->recall = recall_new(arena);
    shelf->bytes = 0;
    shelf->paths = shelf->pieces = 0;
}

void style_shelf_end(StyleShelf *shelf)
{
    size_t kept = 0;
    for (size_t i = 0; i < shelf->drawing_count; i++)
        if (shelf->drawings[i].drawing)
            shelf->drawings[kept++] = shelf->drawings[i];
    shelf->drawing_count = kept;
    for (size_t i = 0; i < SHELF_SLOTS; i++)
        for (MeasuredPart **part = &shelf->parts[i]; *part;)
            if ((*part)->good)
                part = &(*part)->next;
            else
                *part = (*part)->next;
    shelf->recall = NULL;
}

/* ---- Measured before? ---- */

static size_t slot_of(const LineSource *first)
{
    size_t hash = (size_t)(uintptr_t)first->drawn;
    for (const char *c = first->drawn ? "" : first->node->text; *c; c++)
        hash = hash * 33 + (unsigned char)*c;
    return (hash ^ hash >> 9) % SHELF_SLOTS;
}

static bool same_line(const LineSource *a, const LineSource *b)
{
    if (a->mirrored != b->mirrored || a->fold != b->fold || a->drawn != b->drawn)
        return false;
    return a->drawn || strcmp(a->node->text, b->node->text) == 0;
}

static bool same_lines(const MeasuredPart *measured, const LineSource *sources, size_t count,
                       double axis)
{
    if (measured->count != count || measured->axis != axis)
        return false;
    for (size_t i = 0; i < count; i++)
        if (!same_line(&measured->sources[i], &sources[i]))
            return false;
    return true;
}

/* What later styles compare themselves with outlives this one. */
static LineSource *kept_sources(Arena *arena, const LineSource *sources, size_t count)
{
    LineSource *kept = ARENA_NEW(arena, LineSource, count);
    YamlNode *nodes = ARENA_NEW(arena, YamlNode, count);
    for (size_t i = 0; i < count; i++) {
        kept[i] = (LineSource){
            .drawn = sources[i].drawn, .mirrored = sources[i].mirrored, .fold = sources[i].fold};
        if (!sources[i].node)
            continue;
        nodes[i].text = arena_copy(arena, sources[i].node->text, sources[i].node->length);
        kept[i].node = &nodes[i];
    }
    return kept;
}

/* ---- From sources to paths ---- */

/* The place of the byte at `offset` of what is written, where that is what it
 * says (no escapes, one line); else that of the node. */
static Where place_within(const YamlNode *node, size_t offset)
{
    size_t quote = node->plain ? 0 : 1;
    YamlNode inside = *node;
    if (node->file && node->end - node->start == node->length + 2 * quote &&
        memcmp(node->file->bytes + node->start + quote, node->text, node->length) == 0)
        inside.start += quote + offset;
    return yaml_where(&inside);
}

static bool read_line(const StyleReader *reader, Arena *arena, const YamlNode *node, Path *path)
{
    Text problem = {0};
    size_t offset;
    bool good = path_read(arena, node->text, node->length, path, &offset, &problem);
    if (!good)
        message_error(reader->context.messages, place_within(node, offset), "path: %s",
                      text_string(&problem));
    text_free(&problem);
    return good;
}

void style_check_line(const StyleReader *reader, const LineSource *source)
{
    Arena scratch = {0};
    Path path;
    if (source->node)
        read_line(reader, &scratch, source->node, &path);
    arena_free(&scratch);
}

/* outline_join copies it. */
static bool take_path(const StyleReader *reader, Arena *arena, const LineSource *source,
                      Matrix mirror, Path *path)
{
    if (source->drawn)
        *path = path_copy(arena, &source->drawn->path);
    else if (!read_line(reader, arena, source->node, path))
        return false;
    if (source->mirrored)
        path_transform(path, mirror);
    return true;
}

/* ---- Outline ---- */

/* As who drew it sees it: the page's y points down. */
static void add_place(Text *text, const MeasuredPart *part, Point at)
{
    bool mirrored = true;
    for (size_t i = 0; i < part->count; i++)
        mirrored = mirrored && part->sources[i].mirrored;
    text_add(text, " (at x ");
    text_add_number(text, at.x, 5);
    text_add(text, ", y ");
    text_add_number(text, -at.y, 5);
    text_addf(text, " mm of the page%s)", mirrored ? ", mirrored" : "");
}

static void outline_error(const StyleReader *reader, const MeasuredPart *part,
                          const LineSource *sources, const OutlineProblem *problem)
{
    const LineSource *one = &sources[problem->one], *other = &sources[problem->other];
    bool two = problem->one != problem->other;
    add_place(problem->text, part, problem->at);
    message_error_two(reader->context.messages, one->at, two ? other->at : (Where){0}, "%s%s%s: %s",
                      one->edge->path, two ? " and " : "", two ? other->edge->path : "",
                      text_string(problem->text));
}

static bool join(const StyleReader *reader, MeasuredPart *part, const LineSource *sources,
                 const Path *paths)
{
    Text text = {0};
    OutlineProblem problem = {.text = &text};
    bool good = outline_join(reader->shelf->arena, paths, part->count, &part->outline, &problem);
    if (!good)
        outline_error(reader, part, sources, &problem);
    text_free(&text);
    return good;
}

/* The bounds of the field hold for what is drawn as for what is typed. */
static bool length_check(const StyleReader *reader, const LineSource *source, double length)
{
    const Field *field = field_at(EDGE_LENGTH);
    if (length >= field->least && length <= field->most)
        return true;
    Text text = {0};
    text_addf(&text, "%s is drawn ", source->edge->path);
    text_add_number(&text, length, 4);
    text_addf(&text, " mm long; it must be at %s ", length < field->least ? "least" : "most");
    text_add_number(&text, length < field->least ? field->least : field->most, 6);
    text_add(&text, " mm: is the unit of the drawing right?");
    message_error(reader->context.messages, source->at, "%s", text_string(&text));
    text_free(&text);
    return false;
}

/* ---- Edges ---- */

static bool fold_is_straight(const StyleReader *reader, const LineSource *source, const Path *path,
                             const Bend *bend)
{
    Point at = path_point(path, bend->sharpest);
    Text place = {0};
    text_add_number(&place, at.x, 5);
    text_add(&place, ", y ");
    text_add_number(&place, -at.y, 5);
    message_error(reader->context.messages, source->at,
                  "%s is a fold line, where the part goes on in mirror image: it must be straight, "
                  "but bends (at x %s mm of the page)",
                  source->edge->path, text_string(&place));
    text_free(&place);
    return false;
}

static bool measure_edges(const StyleReader *reader, MeasuredPart *part, const LineSource *sources)
{
    Arena *arena = reader->shelf->arena;
    bool good = true;
    part->lengths = ARENA_NEW(arena, double, part->count);
    part->bends = ARENA_NEW(arena, Bend *, part->count);
    part->bend_counts = ARENA_NEW(arena, size_t, part->count);
    for (size_t i = 0; i < part->count; i++) {
        const OutlineEdge *edge = &part->outline.edges[i];
        const LineSource *source = &sources[edge->given];
        part->lengths[i] = path_length(&edge->path);
        part->bend_counts[i] = bends_find(arena, &edge->path, &part->bends[i]);
        good = length_check(reader, source, part->lengths[i]) && good;
        if (source->fold && part->bend_counts[i] > 0)
            good = fold_is_straight(reader, source, &edge->path, &part->bends[i][0]);
    }
    return good;
}

/* ---- The narrowest place ---- */

/* About the line through two places. */
static Matrix mirror_through(Point a, Point b)
{
    Matrix m = matrix_mirror((Point){0, 0}, atan2(b.y - a.y, b.x - a.x));
    Point moved = matrix_point(m, a);
    m.e = a.x - moved.x;
    m.f = a.y - moved.y;
    return m;
}

/* The outline with what lies beyond its fold line. */
static bool unfold(Arena *arena, const Outline *outline, size_t fold, Outline *whole)
{
    size_t others = outline->count - 1;
    const Path *line = &outline->edges[fold].path;
    Matrix mirror = mirror_through(path_start(line), path_end(line));
    Path *paths = ARENA_NEW(arena, Path, 2 * others);
    for (size_t i = 0, k = 0; i < outline->count; i++) {
        if (i == fold)
            continue;
        paths[k] = outline->edges[i].path;
        paths[others + k] = path_copy(arena, &outline->edges[i].path);
        path_transform(&paths[others + k++], mirror);
    }
    Text text = {0};
    OutlineProblem problem = {.text = &text};
    bool good = outline_join(arena, paths, 2 * others, whole, &problem);
    text_free(&text);
    return good;
}

static void measure_width(MeasuredPart *part, const LineSource *sources)
{
    size_t folds = 0, fold = 0;
    for (size_t i = 0; i < part->count; i++)
        if (sources[part->outline.edges[i].given].fold) {
            folds++;
            fold = i;
        }
    Arena scratch = {0};
    Outline whole = part->outline;
    bool known = folds == 0 || (folds == 1 && unfold(&scratch, &part->outline, fold, &whole));
    part->narrowest = known ? outline_narrowest(&whole, &part->narrowest_at) : (double)NAN;
    arena_free(&scratch);
}

/* ---- All of it ---- */

/* Finding the narrowest place of a short outline takes as long as this many pieces. */
enum { PIECES_OF_OUTLINE = 64, PIECES_MOST = 500000 };

static bool within_limits(const StyleReader *reader, const LineSource *sources, const Path *paths,
                          size_t count)
{
    StyleShelf *shelf = reader->shelf;
    bool before = shelf->pieces <= PIECES_MOST;
    shelf->pieces += PIECES_OF_OUTLINE;
    for (size_t i = 0; i < count; i++)
        shelf->pieces += paths[i].count;
    if (before && shelf->pieces > PIECES_MOST)
        message_error(reader->context.messages, sources[0].at,
                      "too much is drawn: for a style and its alternatives at most %d pieces of "
                      "line are measured, an outline counting for %d more",
                      (int)PIECES_MOST, (int)PIECES_OF_OUTLINE);
    return shelf->pieces <= PIECES_MOST;
}

static bool measure(const StyleReader *reader, MeasuredPart *part, const LineSource *sources)
{
    Arena scratch = {0};
    Matrix mirror = matrix_mirror((Point){0, 0}, part->axis);
    Path *paths = ARENA_NEW(&scratch, Path, part->count);
    bool good = true;
    for (size_t i = 0; i < part->count; i++)
        good = take_path(reader, &scratch, &sources[i], mirror, &paths[i]) && good;
    good = good && within_limits(reader, sources, paths, part->count) &&
           join(reader, part, sources, paths) && measure_edges(reader, part, sources);
    if (good)
        measure_width(part, sources);
    arena_free(&scratch);
    return good;
}

const MeasuredPart *style_measure(const StyleReader *reader, const LineSource *sources,
                                  size_t count, double axis)
{
    StyleShelf *shelf = reader->shelf;
    MeasuredPart **slot = &shelf->parts[slot_of(&sources[0])];
    for (const MeasuredPart *m = *slot; m; m = m->next)
        if (same_lines(m, sources, count, axis))
            return m;
    MeasuredPart *measured = ARENA_NEW(shelf->arena, MeasuredPart, 1);
    *measured = (MeasuredPart){.sources = kept_sources(shelf->arena, sources, count),
                               .count = count,
                               .axis = axis,
                               .next = *slot};
    measured->good = measure(reader, measured, sources);
    return *slot = measured;
}
