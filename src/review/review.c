/* A review: opening it, going from state to state and back, switching. For the
 * screen and its tests. */
#include "review/review.h"

#include <stdlib.h>
#include <string.h>

#include "review/review_inside.h"

/* ---- Where we are ---- */

const State *review_state(const Review *review)
{
    return &review->states[review->at];
}

const Judgement *review_judgement(const Review *review)
{
    return review->now->judgement;
}

const ReviewFiles *review_files(const Review *review)
{
    return &review->files;
}

const Comparison *review_comparison(const Review *review)
{
    return review->comparison;
}

size_t review_changed(const Review *review, const Changed **changes)
{
    *changes = review->now->changed;
    return review->now->changed_count;
}

size_t review_aside(const Review *review)
{
    const State *state = review_state(review);
    size_t count = 0;
    for (size_t i = 0; i < state->count; i++)
        count += state->edits[i].aside;
    return count;
}

size_t review_stops(const Review *review, const Stop **stops)
{
    *stops = review->now->stops;
    return review->now->stop_count;
}

const Unit *review_bare_length(const Review *review)
{
    const YamlNode *lengths = yaml_get(review_state(review)->base->file->root, "lengths");
    return lengths && lengths->kind == YAML_SCALAR ? unit_find(lengths->text, lengths->length)
                                                   : NULL;
}

/* ---- Going from state to state ---- */

/* What was handed out of the step before the last one ends here. */
static void show(Review *review, Built *built)
{
    const State *state = review_state(review);
    comparison_free(review->comparison);
    built_free(review->before);
    review->before = review->now;
    review->now = built;
    review->comparison =
        review->before ? compare_judgements(review->before->judgement, built->judgement) : NULL;
    review->files.alternative = state->alternative;
    review->files.factory = state->ground->path;
}

bool review_go(Review *review, State state, Text *problem)
{
    Messages messages = {0};
    Built *built = built_new(review, &state, &messages);
    if (built) {
        review->count = review->at + 1;
        *ARENA_PUSH(&review->arena, review->states, review->count, review->capacity) = state;
        review->at = review->count - 1;
        show(review, built);
    } else {
        problem_say(problem, &messages);
    }
    messages_free(&messages);
    return built != NULL;
}

/* Every state that was gone through can be worked out again. */
static bool go_back_to(Review *review, size_t at)
{
    Messages messages = {0};
    Built *built = built_new(review, &review->states[at], &messages);
    messages_free(&messages);
    if (!built)
        return false;
    review->at = at;
    show(review, built);
    return true;
}

bool review_undo(Review *review)
{
    return review->at > 0 && go_back_to(review, review->at - 1);
}

bool review_redo(Review *review)
{
    return review->at + 1 < review->count && go_back_to(review, review->at + 1);
}

bool review_drop(Review *review)
{
    State state = *review_state(review);
    Text ignored = {0};
    if (review->now->changed_count == 0 && review_aside(review) == 0)
        return false;
    state.base = review->bases;
    state.edits = NULL;
    state.count = 0;
    bool gone = review_go(review, state, &ignored);
    text_free(&ignored);
    return gone;
}

/* ---- Switching ---- */

static bool same_text(const char *a, const char *b)
{
    return a == b || (a && b && strcmp(a, b) == 0);
}

const char *review_kept(Review *review, const char *text)
{
    return text ? arena_copy(&review->arena, text, strlen(text)) : NULL;
}

bool review_take_alternative(Review *review, const char *alternative, Text *problem)
{
    State state = *review_state(review);
    if (alternative && strcmp(alternative, "as-written") == 0)
        alternative = NULL;
    if (same_text(alternative, state.alternative))
        return true;
    state.alternative = review_kept(review, alternative);
    state_settle(review, &state);
    return review_go(review, state, problem);
}

bool review_take_factory(Review *review, const char *path, Text *problem)
{
    State state = *review_state(review);
    if (same_text(path, state.ground->path))
        return true;
    Messages messages = {0};
    state.ground = ground_of(review, path, &messages);
    if (!state.ground)
        problem_say(problem, &messages);
    messages_free(&messages);
    return state.ground && review_go(review, state, problem);
}

/* ---- Opening and closing ---- */

static ReviewFiles own_files(Review *review, const ReviewFiles *given)
{
    ReviewFiles files = *given;
    const char **rules = ARENA_NEW(&review->arena, const char *, given->rule_count);
    for (size_t i = 0; i < given->rule_count; i++)
        rules[i] = review_kept(review, given->rules[i]);
    files.rules = rules;
    files.style = review_kept(review, given->style);
    files.factory = review_kept(review, given->factory);
    files.stage = review_kept(review, given->stage);
    bool as_written = given->alternative && strcmp(given->alternative, "as-written") == 0;
    files.alternative = as_written ? NULL : review_kept(review, given->alternative);
    return files;
}

static bool read_stage(Review *review, Messages *messages)
{
    const char *stage = review->files.stage;
    if (!stage)
        return true;
    YamlFile *word =
        yaml_read_bytes(&review->arena, "--stage", stage, strlen(stage), false, messages);
    review->stage = word ? word->root : NULL;
    return word != NULL;
}

static bool open_all(Review *review, Messages *messages)
{
    State first = {.alternative = review->files.alternative};
    first.ground = ground_of(review, review->files.factory, messages);
    if (!first.ground || !read_stage(review, messages))
        return false;
    first.base = base_read(review, messages);
    if (!first.base)
        return false;
    Built *built = built_new(review, &first, messages);
    if (!built)
        return false;
    *ARENA_PUSH(&review->arena, review->states, review->count, review->capacity) = first;
    show(review, built);
    return true;
}

Review *review_open(const ReviewFiles *files, Messages *messages)
{
    Review *review = memory_new(1, sizeof *review);
    review->files = own_files(review, files);
    if (open_all(review, messages))
        return review;
    review_close(review);
    return NULL;
}

void review_close(Review *review)
{
    if (!review)
        return;
    comparison_free(review->comparison);
    built_free(review->now);
    built_free(review->before);
    bases_free(review->bases);
    grounds_free(review->grounds);
    arena_free(&review->arena);
    free(review);
}
