/* Writing changes into the style's file, and going on from there. For the screen and
 * its tests. */
#include "review/review_inside.h"
#include "style/patch.h"

static void keep_saved_paths(Review *review, const Built *built)
{
    for (size_t i = 0; i < built->changed_count; i++)
        *ARENA_PUSH(&review->arena, review->saved, review->saved_count, review->saved_capacity) =
            review_kept(review, built->changed[i].path);
}

/* The present state over the newest file: only what is laid aside is left of its edits. */
static State state_after_saving(Review *review)
{
    State state = *review_state(review);
    Edit *edits = ARENA_NEW(&review->arena, Edit, state.count);
    size_t count = 0;
    for (size_t i = 0; i < state.count; i++)
        if (state.edits[i].aside)
            edits[count++] = state.edits[i];
    state.base = review->bases;
    state.edits = edits;
    state.count = count;
    return state;
}

/* The present state worked out over the file as it is now; NULL with messages, and nothing is
 * changed. */
static Built *read_newest(Review *review, Messages *messages)
{
    Base *older = review->bases;
    if (!base_read(review, messages))
        return NULL;
    State state = state_after_saving(review);
    size_t saved = review->saved_count;
    keep_saved_paths(review, review->now);
    Built *built = built_new(review, &state, messages);
    if (!built) {
        Base *unread = review->bases;
        unread->next = NULL;
        bases_free(unread);
        review->bases = older;
        review->saved_count = saved;
        return NULL;
    }
    review->states[review->at] = state;
    return built;
}

static void compare_again(Review *review)
{
    comparison_free(review->comparison);
    review->comparison =
        review->before ? compare_judgements(review->before->judgement, review->now->judgement)
                       : NULL;
}

bool review_saved(Review *review, Messages *messages)
{
    Built *built = read_newest(review, messages);
    if (!built)
        return false;
    built_free(review->now);
    review->now = built;
    compare_again(review);
    return true;
}

bool review_reread(Review *review, Messages *messages)
{
    Built *built = read_newest(review, messages);
    if (!built)
        return false;
    built_free(review->before);
    review->before = review->now;
    review->now = built;
    compare_again(review);
    return true;
}

static Patch *patches_of(Arena *arena, const Built *now)
{
    Patch *patches = ARENA_NEW(arena, Patch, now->changed_count);
    for (size_t i = 0; i < now->changed_count; i++) {
        const YamlNode *value = patch_path_node(now->tree, now->changed[i].path);
        patches[i] = (Patch){now->changed[i].path, value, value};
    }
    return patches;
}

FileSaved review_save(Review *review, Messages *messages)
{
    const Built *now = review->now;
    if (now->changed_count == 0)
        return FILE_SAVED;
    Arena scratch = {0};
    FileSaved saved = style_save(review->bases->file, review->files.alternative,
                                 patches_of(&scratch, now), now->changed_count, messages);
    arena_free(&scratch);
    if (saved == FILE_SAVED || saved == FILE_UNSURE)
        review_saved(review, messages);
    return saved;
}

bool review_text(const Review *review, Text *text, Messages *messages)
{
    const Built *now = review->now;
    Arena scratch = {0};
    bool written = style_text(review->bases->file, review->files.alternative,
                              patches_of(&scratch, now), now->changed_count, text, messages);
    arena_free(&scratch);
    return written;
}
