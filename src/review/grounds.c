/* Files that a review reads: each factory once, the style again after it was saved.
 * For src/review. */
#include <stdlib.h>
#include <string.h>

#include "review/review_inside.h"

static void base_free(Base *base)
{
    style_shelf_free(base->shelf);
    arena_free(&base->arena);
    free(base);
}

void bases_free(Base *bases)
{
    for (Base *next; bases; bases = next) {
        next = bases->next;
        base_free(bases);
    }
}

const Base *base_read(Review *review, Messages *messages)
{
    Base *base = memory_new(1, sizeof *base);
    base->file = yaml_read(&base->arena, review->files.style, false, messages);
    if (!base->file) {
        base_free(base);
        return NULL;
    }
    base->shelf = style_shelf_new();
    base->next = review->bases;
    review->bases = base;
    return base;
}

static void ground_free(Ground *ground)
{
    judge_shelf_free(ground->shelf);
    if (ground->rules)
        rules_free(ground->rules);
    if (ground->factory)
        factory_free(ground->factory);
    free(ground);
}

void grounds_free(Ground *grounds)
{
    for (Ground *next; grounds; grounds = next) {
        next = grounds->next;
        ground_free(grounds);
    }
}

static bool same_path(const char *a, const char *b)
{
    return a == b || (a && b && strcmp(a, b) == 0);
}

const Ground *ground_of(Review *review, const char *path, Messages *messages)
{
    for (const Ground *ground = review->grounds; ground; ground = ground->next)
        if (same_path(ground->path, path))
            return ground;
    const ReviewFiles *files = &review->files;
    Ground *ground = memory_new(1, sizeof *ground);
    ground->path = path ? arena_copy(&review->arena, path, strlen(path)) : NULL;
    if (path)
        ground->factory = factory_read(ground->path, messages);
    if (!path || ground->factory)
        ground->rules = rules_read(files->rules, files->rule_count, ground->factory, messages);
    if (!ground->rules) {
        ground_free(ground);
        return NULL;
    }
    ground->shelf = judge_shelf_new();
    ground->next = review->grounds;
    return review->grounds = ground;
}
