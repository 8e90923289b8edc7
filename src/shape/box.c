/* Trees of boxes over the segments of a polyline.
 * For rings and lines. */
#include "shape/box.h"

static Box box_joined(Box a, Box b)
{
    return (Box){{box_lesser(a.least.x, b.least.x), box_lesser(a.least.y, b.least.y)},
                 {box_larger(a.most.x, b.most.x), box_larger(a.most.y, b.most.y)}};
}

typedef struct Growing {
    const Point *points;
    size_t count;
    Box *boxes;
} Growing;

static Box segment_box(const Growing *tree, size_t i)
{
    return box_around(tree->points[i], tree->points[i + 1 == tree->count ? 0 : i + 1]);
}

static Box grow(Growing *tree, BoxRun run)
{
    Box box;
    if (boxrun_is_leaf(run)) {
        box = segment_box(tree, run.from);
        for (size_t i = run.from + 1; i < run.to; i++)
            box = box_joined(box, segment_box(tree, i));
    } else {
        box = box_joined(grow(tree, boxrun_half(run, 0)), grow(tree, boxrun_half(run, 1)));
    }
    tree->boxes[run.box] = box;
    return box;
}

size_t box_count(size_t segments)
{
    size_t leaves = 1;
    while (leaves * BOX_LEAF < segments)
        leaves *= 2;
    return 2 * leaves;
}

Box *box_tree(Arena *arena, const Point *points, size_t count, bool closed)
{
    size_t segments = closed ? count : count - 1;
    Growing tree = {points, count, ARENA_NEW(arena, Box, box_count(segments))};
    grow(&tree, boxrun_whole(segments));
    return tree.boxes;
}
