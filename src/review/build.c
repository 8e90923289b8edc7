/* A state of the review worked out: style, judgement, stops, and what differs from
 * the file. For src/review. */
#include <stdlib.h>
#include <string.h>

#include "review/review_inside.h"
#include "style/patch.h"

static Patch patch_of(const Edit *edit)
{
    return (Patch){edit->path, edit->node, edit->node};
}

/* ---- Trees ---- */

/* With the alternative and the stage that was asked for. */
static YamlNode *tree_written(const Review *review, Arena *arena, const Base *base,
                              const char *alternative, Messages *messages)
{
    Patch *patches, stage = {"stage", review->stage, review->stage};
    size_t count;
    if (!patch_alternative(arena, base->file->root, alternative, &patches, &count, messages))
        return NULL;
    YamlNode *tree = patch_tree(arena, base->file->root, patches, count, messages);
    return tree && review->stage ? patch_tree(arena, tree, &stage, 1, messages) : tree;
}

const YamlNode *state_tree(const Review *review, Arena *arena, const State *state,
                           const YamlNode **written, Messages *messages)
{
    YamlNode *tree = tree_written(review, arena, state->base, state->alternative, messages);
    *written = tree;
    for (size_t i = 0; tree && i < state->count; i++) {
        Patch patch = patch_of(&state->edits[i]);
        if (!state->edits[i].aside)
            tree = patch_tree(arena, tree, &patch, 1, messages);
    }
    return tree;
}

const Patch *state_patches(const Review *review, Arena *arena, const State *state, size_t *count)
{
    Patch *patches = ARENA_NEW(arena, Patch, state->count + 1);
    *count = 0;
    if (review->stage)
        patches[(*count)++] = (Patch){"stage", review->stage, review->stage};
    for (size_t i = 0; i < state->count; i++)
        if (!state->edits[i].aside)
            patches[(*count)++] = patch_of(&state->edits[i]);
    return patches;
}

static Style *state_style(const Review *review, Arena *arena, const State *state,
                          Messages *messages)
{
    size_t count;
    const Patch *patches = state_patches(review, arena, state, &count);
    return style_from_shelf(state->base->shelf, state->base->file, state->alternative, patches,
                            count, messages);
}

/* ---- Edits in another alternative ---- */

static bool leads(const Edit *edit, const YamlNode *tree)
{
    return edit->adds || patch_path_leads(tree, edit->path);
}

/* Paths alone: what leads nowhere is laid aside. False where the rest still makes no style. */
static bool settle_by_path(const Review *review, Arena *arena, State *state, Edit *edits)
{
    Messages ignored = {0};
    YamlNode *tree = tree_written(review, arena, state->base, state->alternative, &ignored);
    for (size_t i = 0; tree && i < state->count; i++) {
        Patch patch = patch_of(&edits[i]);
        YamlNode *next =
            leads(&edits[i], tree) ? patch_tree(arena, tree, &patch, 1, &ignored) : NULL;
        edits[i].aside = !next;
        tree = next ? next : tree;
    }
    Style *style = state_style(review, arena, state, &ignored);
    style_free(style);
    messages_free(&ignored);
    return style != NULL;
}

/* One after the other, each kept that makes a style with those before it. */
static void settle_one_by_one(const Review *review, Arena *arena, State *state, Edit *edits)
{
    size_t all = state->count;
    for (size_t i = 0; i < all; i++) {
        Messages ignored = {0};
        state->count = i + 1;
        Style *style = edits[i].aside ? NULL : state_style(review, arena, state, &ignored);
        edits[i].aside = !style;
        style_free(style);
        messages_free(&ignored);
    }
    state->count = all;
}

void state_settle(Review *review, State *state)
{
    Arena scratch = {0};
    Edit *edits = ARENA_NEW(&review->arena, Edit, state->count);
    if (state->count > 0)
        memcpy(edits, state->edits, state->count * sizeof *edits);
    state->edits = edits;
    if (state->count > 0 && !settle_by_path(review, &scratch, state, edits))
        settle_one_by_one(review, &scratch, state, edits);
    arena_free(&scratch);
}

/* ---- What differs from the file ---- */

typedef struct Paths {
    const char **items;
    size_t count;
} Paths;

/* A path within another that is listed is told with that one. */
static bool covered(const Paths *paths, const char *path)
{
    for (size_t i = 0; i < paths->count; i++)
        if (place_within(path, paths->items[i]))
            return true;
    return false;
}

static Paths changed_paths(const Review *review, Arena *arena, const State *state)
{
    size_t most = state->count + review->saved_count, count = 0;
    const char **all = ARENA_NEW(arena, const char *, most);
    for (size_t i = 0; i < state->count; i++)
        if (!state->edits[i].aside)
            all[count++] = state->edits[i].path;
    for (size_t i = 0; i < review->saved_count; i++)
        all[count++] = review->saved[i];
    Paths paths = {ARENA_NEW(arena, const char *, most), 0};
    for (size_t i = 0; i < count; i++) {
        bool inner = covered(&paths, all[i]);
        for (size_t k = i + 1; k < count && !inner; k++)
            inner = place_within(all[i], all[k]) && strcmp(all[i], all[k]) != 0;
        if (!inner)
            paths.items[paths.count++] = all[i];
    }
    return paths;
}

static void add_changed(Built *built, const char *path, const YamlNode *before)
{
    const YamlNode *after = patch_path_node(built->tree, path);
    if (node_equal(before, after))
        return;
    built->changed[built->changed_count++] =
        (Changed){path, before ? node_text(&built->arena, before) : NULL,
                  after ? node_text(&built->arena, after) : NULL};
}

/* Against the file as it is on the disk, which may have been saved since. */
static void find_changed(const Review *review, Built *built, const State *state)
{
    Messages ignored = {0};
    const YamlNode *saved = built->written;
    if (state->base != review->bases)
        saved = tree_written(review, &built->arena, review->bases, state->alternative, &ignored);
    Paths paths = changed_paths(review, &built->arena, state);
    built->changed = ARENA_NEW(&built->arena, Changed, paths.count);
    for (size_t i = 0; saved && i < paths.count; i++)
        add_changed(built, paths.items[i], patch_path_node(saved, paths.items[i]));
    messages_free(&ignored);
}

/* ---- All of it ---- */

void built_free(Built *built)
{
    if (!built)
        return;
    judgement_free(built->judgement);
    style_free(built->style);
    arena_free(&built->arena);
    free(built);
}

Built *built_new(const Review *review, const State *state, Messages *messages)
{
    Built *built = memory_new(1, sizeof *built);
    built->tree = state_tree(review, &built->arena, state, &built->written, messages);
    if (built->tree)
        built->style = state_style(review, &built->arena, state, messages);
    if (!built->style) {
        built_free(built);
        return NULL;
    }
    const Ground *ground = state->ground;
    built->judgement =
        judge_from_shelf(ground->shelf, built->style, ground->rules, ground->factory);
    find_changed(review, built, state);
    stops_build(built);
    return built;
}
