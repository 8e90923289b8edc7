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

bool review_saved(Review *review, Messages *messages)
{
    Base *older = review->bases;
    if (!base_read(review, messages))
        return false;
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
        return false;
    }
    review->states[review->at] = state;
    comparison_free(review->comparison);
    built_free(review->now);
    review->now = built;
    review->comparison =
        review->before ? compare_judgements(review->before->judgement, built->judgement) : NULL;
    return true;
}

FileSaved review_save(Review *review, Messages *messages)
{
    const Built *now = review->now;
    if (now->changed_count == 0)
        return FILE_SAVED;
    Arena scratch = {0};
    Patch *patches = ARENA_NEW(&scratch, Patch, now->changed_count);
    for (size_t i = 0; i < now->changed_count; i++) {
        const YamlNode *value = patch_path_node(now->tree, now->changed[i].path);
        patches[i] = (Patch){now->changed[i].path, value, value};
    }
    FileSaved saved = style_save(review->bases->file, review->files.alternative, patches,
                                 now->changed_count, messages);
    arena_free(&scratch);
    if (saved == FILE_SAVED || saved == FILE_UNSURE)
        review_saved(review, messages);
    return saved;
}
