/* Trees of boxes over the segments of a polyline.
 * For rings and lines. */
#include "shape/box.h"

static Box box_joined(Box a, Box b)
{
    return (Box){{fmin(a.least.x, b.least.x), fmin(a.least.y, b.least.y)},
                 {fmax(a.most.x, b.most.x), fmax(a.most.y, b.most.y)}};
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

Box *box_tree(Arena *arena, const Point *points, size_t count, bool closed)
{
    size_t segments = closed ? count : count - 1, boxes = 1;
    while (boxes * BOX_LEAF < segments)
        boxes *= 2;
    Growing tree = {points, count, ARENA_NEW(arena, Box, 2 * boxes)};
    grow(&tree, boxrun_whole(segments));
    return tree.boxes;
}
