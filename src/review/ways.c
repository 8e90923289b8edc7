/* What remedies are worked out from, and the alternatives of the style side by side. For the
 * screen and its tests. */
#include <stdlib.h>
#include <string.h>

#include "review/review_inside.h"

RemedyGround review_ground(const Review *review, Arena *arena)
{
    const State *state = review_state(review);
    RemedyGround ground = {.file = state->base->file,
                           .alternative = state->alternative,
                           .judgement = review->now->judgement};
    ground.patches = state_patches(review, arena, state, &ground.patch_count);
    return ground;
}

struct ReviewWays {
    Arena arena;
    Review *review;
    const char **alternatives; /* all, as written first; then of those that could be read */
    Built **built;             /* NULL: it cannot be read */
    size_t count, done;
    Text unread;
    Ways *ways; /* NULL: not yet */
};

ReviewWays *review_ways_new(Review *review)
{
    ReviewWays *ways = memory_new(1, sizeof *ways);
    const Style *style = review->now->style;
    ways->review = review;
    ways->count = style->alternative_count + 1;
    ways->alternatives = ARENA_NEW(&ways->arena, const char *, ways->count);
    ways->built = ARENA_NEW(&ways->arena, Built *, ways->count);
    for (size_t i = 1; i < ways->count; i++)
        ways->alternatives[i] = review_kept(review, style->alternatives[i - 1].name);
    return ways;
}

void review_ways_free(ReviewWays *ways)
{
    if (!ways)
        return;
    ways_free(ways->ways);
    for (size_t i = 0; i < ways->count; i++)
        built_free(ways->built[i]);
    text_free(&ways->unread);
    arena_free(&ways->arena);
    free(ways);
}

static void say_unread(ReviewWays *ways, const char *alternative, const Messages *messages)
{
    Text why = {0};
    problem_say(&why, messages);
    text_addf(&ways->unread, "%s: %s\n", alternative ? alternative : "as written",
              text_string(&why));
    text_free(&why);
}

static void read_one(ReviewWays *ways, size_t at)
{
    Messages messages = {0};
    State state = *review_state(ways->review);
    state.alternative = ways->alternatives[at];
    state_settle(ways->review, &state);
    ways->built[at] = built_new(ways->review, &state, &messages);
    if (!ways->built[at])
        say_unread(ways, state.alternative, &messages);
    messages_free(&messages);
}

/* Those that could be read close up. */
static void join(ReviewWays *ways)
{
    const char **names = ARENA_NEW(&ways->arena, const char *, ways->count);
    const Judgement **judgements = ARENA_NEW(&ways->arena, const Judgement *, ways->count);
    size_t count = 0;
    for (size_t i = 0; i < ways->count; i++) {
        if (!ways->built[i])
            continue;
        ways->built[count] = ways->built[i];
        ways->alternatives[count] = ways->alternatives[i];
        names[count] = ways->alternatives[i] ? ways->alternatives[i] : "as written";
        judgements[count] = ways->built[i]->judgement;
        count++;
    }
    ways->count = ways->done = count;
    ways->ways = ways_new(names, judgements, count, 1);
}

bool review_ways_more(ReviewWays *ways)
{
    if (ways->ways)
        return false;
    read_one(ways, ways->done++);
    if (ways->done == ways->count)
        join(ways);
    return !ways->ways;
}

size_t review_ways_left(const ReviewWays *ways)
{
    return ways->count - ways->done;
}

const Ways *review_ways_all(const ReviewWays *ways)
{
    return ways->ways;
}

const char *review_way_alternative(const ReviewWays *ways, size_t way)
{
    return ways->alternatives[way];
}

const char *review_ways_unread(const ReviewWays *ways)
{
    return text_string(&ways->unread);
}
