/* Finds between which places of a line a disc does not reach it. For rounding alone. */
#include "shape/rounded_inside.h"

#include <math.h>

#include "shape/rolled.h"
#include "shape/vector.h"

/* ---- Where the disc does not reach ---- */

/* The stretch that is looked at: samples from..to, about six radii to both sides. */
typedef struct Window {
    size_t from, to;
    double reach; /* mm about the sharp place within which a run is looked for */
} Window;

static Window window_about(const Trace *trace, PathAt sharp, double radius)
{
    double room = 6 * radius + 10, length = 0;
    Window window = {rounded_sample(trace, sharp), rounded_sample(trace, sharp), room / 2};
    for (; window.from > 0 && length < room; window.from--)
        length +=
            size(minus(trace->samples[window.from].point, trace->samples[window.from - 1].point));
    for (length = 0; window.to + 1 < trace->count && length < room; window.to++)
        length += size(minus(trace->samples[window.to].point, trace->samples[window.to + 1].point));
    return window;
}

/* Runs of ring places that lie off the line on the disc's side. */
static bool run_about(const Trace *trace, Window window, const Unreached *patch, int side,
                      PathAt sharp, Run *run)
{
    static const double off_line = 2.5 * ROLLED_BAND;
    Arena scratch = {0};
    Foot *feet = ARENA_NEW(&scratch, Foot, patch->count);
    Point place = path_point(&trace->path, sharp);
    size_t start = patch->count;
    for (size_t i = 0; i < patch->count; i++) {
        if (size(minus(patch->ring[i], place)) < window.reach)
            feet[i] = rounded_foot(trace, patch->ring[i], window.from, window.to, side);
        if (!(feet[i].distance > off_line))
            start = i;
    }
    bool found = false, open = false;
    Run now = {0};
    for (size_t k = 1; start < patch->count && k <= patch->count && !found; k++) {
        const Foot *foot = &feet[(start + k) % patch->count];
        bool off = foot->distance > off_line;
        if (off && !open)
            now = (Run){foot->at, foot->at};
        if (off && comes_before(foot->at, now.from))
            now.from = foot->at;
        if (off && comes_before(now.to, foot->at))
            now.to = foot->at;
        found = !off && open && comes_before(now.from, sharp) && comes_before(sharp, now.to);
        open = off;
    }
    if (found)
        *run = now;
    arena_free(&scratch);
    return found;
}

bool rounded_run(const Trace *trace, double radius, int side, PathAt sharp, Run *run)
{
    Arena scratch = {0};
    Unreached *patches;
    Window window = window_about(trace, sharp, radius);
    size_t points_count = window.to - window.from + 1;
    Point *points = ARENA_NEW(&scratch, Point, points_count);
    for (size_t i = 0; i < points_count; i++)
        points[i] = trace->samples[window.from + i].point;
    size_t count = rolled_unreached(&scratch, points, points_count, radius, &patches);
    bool found = false;
    for (size_t i = 0; i < count && !found; i++)
        found = run_about(trace, window, &patches[i], side, sharp, run);
    arena_free(&scratch);
    return found;
}
