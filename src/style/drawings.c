/* The drawings that a style names: found in its folder, read once. For the
 * style's reader. */
#define _GNU_SOURCE
#include "style/drawn.h"

#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { DRAWINGS_MOST = 64 };

/* ---- Names ---- */

static bool climbs(const char *name)
{
    for (const char *step = name; step; step = strchr(step, '/') ? strchr(step, '/') + 1 : NULL)
        if (strncmp(step, "..", 2) == 0 && (step[2] == '/' || step[2] == '\0'))
            return true;
    return false;
}

static bool name_check(const StyleReader *reader, const YamlNode *node)
{
    if (!scalar_check(&reader->context, node, "drawing", "the name of an SVG file"))
        return false;
    const char *wrong = NULL;
    if (node->text[0] == '/')
        wrong = "begins at the root of the disk";
    else if (climbs(node->text))
        wrong = "climbs out of the style's folder";
    else if (strcmp(node->text, "-") == 0)
        wrong = "would be standard input";
    if (wrong)
        style_error(reader, node,
                    "drawing %s %s; name a file in the style's folder, such as skerry.svg",
                    quoted(node->text).text, wrong);
    return !wrong;
}

/* "styles/" of "styles/skerry.yaml"; "" for a style in the working folder. */
static const char *folder_of(Arena *arena, const YamlFile *file)
{
    const char *slash = strrchr(file->path, '/');
    return arena_copy(arena, file->path, slash ? (size_t)(slash - file->path) + 1 : 0);
}

/* The file that the name stands for once links are followed: it must lie in the
 * style's folder or below. NULL after a message. */
static const char *resolve(const StyleReader *reader, const YamlNode *node, const char *path)
{
    const char *folder = folder_of(reader->context.arena, reader->style->file);
    char home[PATH_MAX], file[PATH_MAX];
    if (!realpath(*folder ? folder : ".", home) || !realpath(path, file)) {
        style_error(reader, node, "drawing %s: %s", quoted(node->text).text,
                    errno == ENOENT || errno == ENOTDIR
                        ? "there is no such file in the style's folder"
                    : errno == ELOOP        ? "its symbolic links go round in a circle"
                    : errno == ENAMETOOLONG ? "its name is too long"
                                            : "it cannot be reached");
        return NULL;
    }
    size_t length = strcmp(home, "/") == 0 ? 0 : strlen(home);
    if (strncmp(file, home, length) == 0 && file[length] == '/')
        return arena_copy(reader->context.arena, file, strlen(file));
    style_error(reader, node,
                "drawing %s is a symbolic link that leads out of the style's folder; copy the "
                "file there",
                quoted(node->text).text);
    return NULL;
}

/* ---- Parts that no style of this file has ---- */

/* Does an alternative set the part, or something of it? */
static bool alternatives_name(const YamlNode *alternatives, const char *part)
{
    size_t length = strlen(part);
    for (size_t i = 0; alternatives && i < alternatives->count; i++) {
        const YamlNode *changes = alternatives->items[i];
        for (size_t k = 0; changes->kind == YAML_MAPPING && k < changes->count; k++) {
            const char *path = changes->keys[k]->text;
            if (strncmp(path, "parts.", 6) == 0 && strncmp(path + 6, part, length) == 0 &&
                (path[6 + length] == '.' || path[6 + length] == '\0'))
                return true;
        }
    }
    return false;
}

static void notice_strangers(const StyleReader *reader, const Drawing *drawing)
{
    enum { NAMED_MOST = 8 };
    const YamlNode *root = reader->style->file->root;
    const YamlNode *alternatives = yaml_get(root, "alternatives");
    if (alternatives && alternatives->kind != YAML_MAPPING)
        alternatives = NULL;
    const DrawnEdge *first = NULL, *last = NULL;
    Text names = {0};
    size_t count = 0;
    for (size_t i = 0; i < drawing->count; last = &drawing->edges[i++]) {
        const DrawnEdge *edge = &drawing->edges[i];
        if ((last && strcmp(last->part, edge->part) == 0) ||
            record_find(&reader->style->lists[SUBJECT_PART], edge->part) ||
            yaml_get(yaml_get(root, "parts"), edge->part) ||
            alternatives_name(alternatives, edge->part))
            continue;
        first = first ? first : edge;
        if (count++ < NAMED_MOST)
            text_addf(&names, "%s%s", count > 1 ? ", " : "", quoted(edge->part).text);
    }
    if (first)
        message_notice(reader->context.messages, first->at,
                       "the style has no part %s%s; what is drawn of it is not looked at",
                       text_string(&names), count > NAMED_MOST ? ", …" : "");
    text_free(&names);
}

/* ---- Reading ---- */

/* A file counts once, whatever it is called; all of them share what one may be. */
static bool within_limits(const StyleReader *reader, const YamlNode *node, const char *path)
{
    struct stat state;
    StyleShelf *shelf = reader->shelf;
    if (stat(path, &state) == 0 && S_ISREG(state.st_mode))
        shelf->bytes += (uintmax_t)state.st_size;
    if (shelf->drawing_count < DRAWINGS_MOST && shelf->bytes <= DRAWING_FILE_MOST)
        return true;
    style_error(reader, node,
                "a style and its alternatives may name at most %d drawings of %d MiB together",
                (int)DRAWINGS_MOST, (int)(DRAWING_FILE_MOST >> 20));
    return false;
}

static Drawing *read_kept(const StyleReader *reader, const YamlNode *node, const char *path)
{
    StyleShelf *shelf = reader->shelf;
    if (!within_limits(reader, node, path))
        return NULL;
    const char *name = arena_copy(shelf->arena, path, strlen(path));
    Drawing *drawing = drawing_read(shelf->arena, name, reader->context.messages);
    if (!drawing)
        return NULL;
    shelf->paths += drawing->count;
    if (shelf->paths > DRAWING_PATHS_MOST) {
        style_error(reader, node, "the drawings of a style may hold %d paths together, not more",
                    DRAWING_PATHS_MOST);
        return NULL;
    }
    notice_strangers(reader, drawing);
    return drawing;
}

/* NULL where it cannot be read, which was said when that was tried. */
static Drawing *drawing_once(const StyleReader *reader, const YamlNode *node, const char *path,
                             const char *resolved)
{
    StyleShelf *shelf = reader->shelf;
    for (size_t i = 0; i < shelf->drawing_count; i++)
        if (strcmp(shelf->drawings[i].resolved, resolved) == 0)
            return shelf->drawings[i].drawing;
    Drawing *drawing = read_kept(reader, node, path);
    *ARENA_PUSH(shelf->arena, shelf->drawings, shelf->drawing_count, shelf->drawing_capacity) =
        (KeptDrawing){arena_copy(shelf->arena, resolved, strlen(resolved)), drawing};
    return drawing;
}

typedef struct NamedDrawing {
    const YamlNode *node;
    const char *resolved;
} NamedDrawing;

static Drawing *take_drawing(const StyleReader *reader, NamedDrawing *named, size_t index)
{
    NamedDrawing *one = &named[index];
    if (!name_check(reader, one->node))
        return NULL;
    const char *path =
        arena_printf(reader->context.arena, "%s%s",
                     folder_of(reader->context.arena, reader->style->file), one->node->text);
    one->resolved = resolve(reader, one->node, path);
    if (!one->resolved)
        return NULL;
    for (size_t i = 0; i < index; i++)
        if (named[i].resolved && strcmp(named[i].resolved, one->resolved) == 0) {
            style_error_two(reader, one->node, named[i].node, "%s is named twice",
                            quoted(one->node->text).text);
            return NULL;
        }
    return drawing_once(reader, one->node, path, one->resolved);
}

size_t style_drawings(const StyleReader *reader, Drawing ***drawings)
{
    const YamlNode *node = yaml_get(reader->root, "drawing");
    bool list = node && node->kind == YAML_SEQUENCE;
    size_t named = list ? node->count : 1, count = 0;
    if (!node || yaml_is_word(node, "unknown"))
        return 0;
    if (named == 0 || named > DRAWINGS_MOST) {
        style_error(reader, node, "drawing names %zu files; from 1 to %d are taken", named,
                    (int)DRAWINGS_MOST);
        return 0;
    }
    NamedDrawing *names = ARENA_NEW(reader->context.arena, NamedDrawing, named);
    *drawings = ARENA_NEW(reader->context.arena, Drawing *, named);
    for (size_t i = 0; i < named; i++) {
        names[i].node = list ? node->items[i] : node;
        if (list && yaml_is_word(names[i].node, "unknown")) {
            style_error(reader, names[i].node,
                        "one of several drawings cannot be unknown; leave it out");
            continue;
        }
        Drawing *drawing = take_drawing(reader, names, i);
        if (drawing)
            (*drawings)[count++] = drawing;
    }
    return count;
}
