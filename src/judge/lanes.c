/* The lanes of a finding in few words: "in 36 to 39 of Chalk". For everyone who
 * shows findings. */
#include <string.h>

#include "judge/inside.h"

/* The lanes as a grid: sizes and colourways, each once, in order. */
typedef struct Grid {
    const char **sizes, **colourways;
    size_t size_count, colourway_count;
    bool *in; /* colourway * size_count + size: shares the verdict */
} Grid;

static Grid grid_of(Arena *arena, const Judgement *judgement, const Finding *finding)
{
    uint32_t count = judgement->lane_count;
    const Lane *lanes = judgement->columns->lanes;
    Grid grid = {0};
    for (uint32_t lane = 0; lane < count; lane++) {
        if (lanes[lane].size_index >= grid.size_count)
            grid.size_count = (size_t)lanes[lane].size_index + 1;
        if (lanes[lane].colourway_index >= grid.colourway_count)
            grid.colourway_count = (size_t)lanes[lane].colourway_index + 1;
    }
    grid.sizes = ARENA_NEW(arena, const char *, grid.size_count);
    grid.colourways = ARENA_NEW(arena, const char *, grid.colourway_count);
    grid.in = ARENA_NEW(arena, bool, grid.size_count *grid.colourway_count);
    for (uint32_t lane = 0; lane < count; lane++) {
        size_t size = lanes[lane].size_index, colourway = lanes[lane].colourway_index;
        grid.sizes[size] = lanes[lane].size;
        grid.colourways[colourway] = lanes[lane].colourway;
        grid.in[colourway * grid.size_count + size] = finding->lanes[lane] == finding->verdict;
    }
    return grid;
}

static const bool *grid_row(const Grid *grid, size_t colourway)
{
    return grid->in + colourway * grid->size_count;
}

static bool row_full(const Grid *grid, size_t colourway)
{
    size_t size = 0;
    while (size < grid->size_count && grid_row(grid, colourway)[size])
        size++;
    return size == grid->size_count;
}

static bool row_empty(const Grid *grid, size_t colourway)
{
    size_t size = 0;
    while (size < grid->size_count && !grid_row(grid, colourway)[size])
        size++;
    return size == grid->size_count;
}

static bool rows_equal(const Grid *grid, size_t a, size_t b)
{
    return memcmp(grid_row(grid, a), grid_row(grid, b), grid->size_count * sizeof(bool)) == 0;
}

/* The end of a run of three or more sizes that starts here, else the start. */
static size_t run_end(const Grid *grid, const bool *in, size_t size)
{
    size_t last = size;
    while (last + 1 < grid->size_count && in[last + 1])
        last++;
    return last > size + 1 ? last : size;
}

static size_t next_size(const Grid *grid, const bool *in, size_t size)
{
    while (size < grid->size_count && !in[size])
        size++;
    return size;
}

/* "36 to 39, 41 and 46". */
static void add_sizes(Text *text, const Grid *grid, const bool *in)
{
    size_t size = next_size(grid, in, 0), first = size;
    while (size < grid->size_count) {
        size_t last = run_end(grid, in, size), next = next_size(grid, in, last + 1);
        bool final = next == grid->size_count;
        text_add(text, size == first ? "" : final ? " and " : ", ");
        text_add(text, grid->sizes[size]);
        if (last > size)
            text_addf(text, " to %s", grid->sizes[last]);
        size = next;
    }
}

/* "36 to 39 of Chalk and Bark" for all colourways whose row is like `first`'s. */
static void add_row(Text *text, const Grid *grid, size_t first)
{
    bool sized = grid->sizes[0][0] != '\0';
    if (sized && row_full(grid, first))
        text_add(text, "every size");
    else if (sized)
        add_sizes(text, grid, grid_row(grid, first));
    const char *between = sized ? " of " : "";
    for (size_t c = first; c < grid->colourway_count; c++) {
        if (!rows_equal(grid, first, c))
            continue;
        text_addf(text, "%s%s", between, grid->colourways[c]);
        between = " and ";
    }
}

static void add_grid(Text *text, const Grid *grid)
{
    bool sized = grid->sizes[0][0] != '\0', many = grid->colourway_count > 1;
    bool same = true, full = true;
    for (size_t c = 0; c < grid->colourway_count; c++) {
        same = same && rows_equal(grid, 0, c);
        full = full && row_full(grid, c);
    }
    if (full) {
        text_add(text, sized && many ? "in every size and colourway"
                       : sized       ? "in every size"
                       : many        ? "in every colourway"
                                     : "");
        return;
    }
    const char *comma = "in ";
    for (size_t c = 0; c < grid->colourway_count; c++) {
        bool told = row_empty(grid, c);
        for (size_t before = 0; before < c && !told; before++)
            told = rows_equal(grid, before, c);
        if (told)
            continue;
        text_add(text, comma);
        if (same) {
            add_sizes(text, grid, grid_row(grid, 0));
            text_add(text, many ? " of every colourway" : "");
        } else {
            add_row(text, grid, c);
        }
        comma = "; in ";
    }
}

void finding_lanes(Text *text, const Judgement *judgement, const Finding *finding)
{
    Arena arena = {0};
    Text raw = {0};
    Grid grid = grid_of(&arena, judgement, finding);
    if (grid.size_count > 0)
        add_grid(&raw, &grid);
    text_add_visible(text, text_string(&raw), raw.length);
    text_free(&raw);
    arena_free(&arena);
}
