/* What was written differently in two revisions of a style's file. For the report on a style. */
#include <string.h>

#include "report/content_inside.h"

typedef struct Edits {
    const Content *content;
    size_t count;
} Edits;

static const char *written(const Edits *edits, const YamlNode *node)
{
    const YamlFile *file = node->file;
    Quoted cut = quoted_bytes(file->bytes + node->start, node->end - node->start);
    return arena_copy(edits->content->arena, cut.text, strlen(cut.text));
}

static void add_edit(Edits *edits, const char *path, const YamlNode *before, const YamlNode *after)
{
    const Content *content = edits->content;
    const char *at = content_where(content, yaml_where(after != NULL ? after : before));
    if (edits->count++ == 0)
        report_paragraph(content->report, NULL, "Written differently in the style's file:");
    if (before == NULL)
        report_itemf(content->report, "%s: new, %s (%s)", path, written(edits, after), at);
    else if (after == NULL)
        report_itemf(content->report, "%s: gone, was %s (%s)", path, written(edits, before), at);
    else
        report_itemf(content->report, "%s: %s, was %s (%s)", path, written(edits, after),
                     written(edits, before), at);
}

static const char *below(const Edits *edits, const char *path, const char *key)
{
    return arena_printf(edits->content->arena, "%s%s%s", path, path[0] != '\0' ? "." : "", key);
}

static void find_edits(Edits *edits, const char *path, const YamlNode *before,
                       const YamlNode *after);

static void find_in_mapping(Edits *edits, const char *path, const YamlNode *before,
                            const YamlNode *after)
{
    for (size_t i = 0; i < after->count; i++) {
        const char *key = after->keys[i]->text;
        find_edits(edits, below(edits, path, key), yaml_get(before, key), after->items[i]);
    }
    for (size_t i = 0; i < before->count; i++)
        if (yaml_get(after, before->keys[i]->text) == NULL)
            add_edit(edits, below(edits, path, before->keys[i]->text), before->items[i], NULL);
}

static void find_in_list(Edits *edits, const char *path, const YamlNode *before,
                         const YamlNode *after)
{
    size_t most = before->count > after->count ? before->count : after->count;
    for (size_t i = 0; i < most; i++)
        find_edits(edits, below(edits, path, arena_printf(edits->content->arena, "%zu", i + 1)),
                   i < before->count ? before->items[i] : NULL,
                   i < after->count ? after->items[i] : NULL);
}

/* The reader takes no more than YAML_DEPTH_MOST levels. Comments and layout do not count. */
static void find_edits(Edits *edits, const char *path, const YamlNode *before,
                       const YamlNode *after)
{
    if (before == NULL || after == NULL || before->kind != after->kind)
        add_edit(edits, path, before, after);
    else if (after->kind == YAML_MAPPING)
        find_in_mapping(edits, path, before, after);
    else if (after->kind == YAML_SEQUENCE)
        find_in_list(edits, path, before, after);
    else if (strcmp(before->text, after->text) != 0 || before->plain != after->plain)
        add_edit(edits, path, before, after);
}

static const char *file_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash != NULL ? slash + 1 : path;
}

/* Drawings of one name that are not the same file any more. */
static void find_redrawn(Edits *edits, const Judgement *before)
{
    const Content *content = edits->content;
    Inputs then = inputs_of(content->arena, before, NULL);
    Inputs now = inputs_of(content->arena, content->judgement, NULL);
    for (size_t i = 0; i < now.count; i++)
        for (size_t k = 0; k < then.count; k++) {
            const Input *one = &now.items[i], *other = &then.items[k];
            if (one->role != INPUT_DRAWING || other->role != INPUT_DRAWING ||
                strcmp(file_name(one->path), file_name(other->path)) != 0)
                continue;
            if (one->sum == NULL || other->sum == NULL || strcmp(one->sum, other->sum) != 0) {
                report_paragraphf(content->report, NULL, "The drawing %s is not what %s is.",
                                  one->path, other->path);
                edits->count++;
            }
        }
}

void content_edits(const Content *content, const Judgement *before)
{
    Edits edits = {content, 0};
    find_edits(&edits, "", before->style->file->root, content->judgement->style->file->root);
    find_redrawn(&edits, before);
    if (edits.count == 0)
        report_paragraph(content->report, NULL,
                         "Nothing is written differently in the style's file and its drawings.");
}
