/* Reads an SVG file into named paths. For the reader of styles. */
#include "shape/drawing.h"

#include <expat.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/file.h"
#include "base/utf8.h"
#include "shape/drawing_values.h"

static const char svg_space[] = "http://www.w3.org/2000/svg";
static const double scales_alike = 1e-6;

/* What an open element hands on to those within. */
typedef struct Frame {
    Matrix matrix;    /* to mm, y still downwards */
    const char *part; /* id of the innermost group with one, or NULL */
    Where part_at;
    bool skipped; /* nothing within is drawn */
} Frame;

typedef struct Reader {
    Arena *arena;
    Drawing *drawing;
    Messages *messages;
    const char *bytes;
    size_t length;
    XML_Parser parser;
    Plain plain;
    Frame frames[DRAWING_DEPTH_MOST + 1]; /* 0: outside the root */
    size_t depth;
    bool stopped; /* by us; expat may still call once */
} Reader;

typedef const XML_Char **Attributes; /* name, value, ..., NULL */

/* ---- places ---- */

/* Moves on from a place over bytes; columns count characters. */
static Where moved(Where at, const char *bytes, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        if (bytes[i] == '\n') {
            at.line++;
            at.column = 1;
        } else if (((unsigned char)bytes[i] & 0xC0) != 0x80) {
            at.column++;
        }
    }
    return at;
}

static Where here(const Reader *reader)
{
    return (Where){reader->drawing->file, (int)XML_GetCurrentLineNumber(reader->parser),
                   (int)XML_GetCurrentColumnNumber(reader->parser) + 1};
}

/* Where `name` stands in the start tag being read, else the tag's own place. */
static Where attribute_at(const Reader *reader, const char *name)
{
    XML_Index index = XML_GetCurrentByteIndex(reader->parser);
    int count = XML_GetCurrentByteCount(reader->parser);
    if (index < 0 || count <= 0 || (uintmax_t)index + (uintmax_t)count > reader->length)
        return here(reader);
    const char *tag = reader->bytes + index, *end = tag + count, *at = tag;
    while (at < end) {
        at += strcspn(at, " \t\r\n"); /* the text ends in NUL */
        at += strspn(at, " \t\r\n");
        size_t length = strcspn(at, "= \t\r\n>/");
        if (at + length >= end)
            break;
        if (length == strlen(name) && strncmp(at, name, length) == 0)
            return moved(here(reader), tag, (size_t)(at - tag));
        const char *quote = strpbrk(at, "\"'");
        const char *close = quote && quote < end ? strchr(quote + 1, *quote) : NULL;
        if (!close)
            break;
        at = close + 1;
    }
    return here(reader);
}

/* Outside text in messages, kept short. */
static const char *shown(const Reader *reader, const char *text)
{
    enum { MOST = 60 };
    size_t length = strlen(text), kept = length;
    if (length > MOST)
        for (kept = MOST; kept > 0 && ((unsigned char)text[kept] & 0xC0) == 0x80;)
            kept--;
    return arena_printf(reader->arena, "%.*s%s", (int)kept, text, kept < length ? "…" : "");
}

static void stop(Reader *reader)
{
    reader->stopped = true;
    XML_StopParser(reader->parser, XML_FALSE);
}

/* ---- attributes ---- */

static const char *attribute(Attributes attributes, const char *name)
{
    for (size_t i = 0; attributes[i]; i += 2)
        if (strcmp(attributes[i], name) == 0)
            return attributes[i + 1];
    return NULL;
}

/* The name within SVG; of drawings without namespace too; NULL for others. */
static const char *own_name(const char *name)
{
    const char *bar = strrchr(name, '|');
    if (!bar)
        return name;
    size_t length = (size_t)(bar - name);
    return length == strlen(svg_space) && strncmp(name, svg_space, length) == 0 ? bar + 1 : NULL;
}

static bool is_one_of(const char *name, const char *const *names)
{
    for (; *names; names++)
        if (strcmp(name, *names) == 0)
            return true;
    return false;
}

/* "url(" of something that is not within the file. */
static bool links_out(const char *value)
{
    for (const char *at = value; (at = strstr(at, "url(")) != NULL;) {
        at += 4;
        at += strspn(at, " \t\r\n\"'");
        if (*at != '#' && strncmp(at, "data:", 5) != 0)
            return true;
    }
    return false;
}

static bool refers_outside(const char *name, const char *value)
{
    const char *bar = strrchr(name, '|');
    if (strcmp(bar ? bar + 1 : name, "href") == 0)
        return *value && *value != '#' && strncmp(value, "data:", 5) != 0;
    return links_out(value);
}

static void check_attributes(Reader *reader, Attributes attributes)
{
    for (size_t i = 0; attributes[i]; i += 2)
        if (refers_outside(attributes[i], attributes[i + 1]))
            message_error(reader->messages, here(reader),
                          "refers to something outside this file ('%s'); nothing outside is "
                          "read: remove it or embed it",
                          shown(reader, attributes[i + 1]));
    const char *style = attribute(attributes, "style");
    if (style && strstr(style, "transform"))
        message_error(reader->messages, attribute_at(reader, "style"),
                      "a transform in a style attribute is not read; write it as an attribute "
                      "transform of the group or path");
    if (attribute(attributes, "transform-origin"))
        message_error(reader->messages, attribute_at(reader, "transform-origin"),
                      "transform-origin is not read; write rotate(angle, x, y) or a matrix");
}

/* ---- ids ---- */

/* Letters, digits, '-'. Returns how many bytes are such. */
static size_t id_length(const char *text)
{
    size_t length = 0;
    while ((text[length] >= 'a' && text[length] <= 'z') ||
           (text[length] >= 'A' && text[length] <= 'Z') ||
           (text[length] >= '0' && text[length] <= '9') || text[length] == '-')
        length++;
    return length;
}

static bool is_id(const char *text)
{
    size_t length = id_length(text);
    return length > 0 && text[length] == '\0';
}

/* EDGE or PART.EDGE; part NULL for the first. False for anything else. */
static bool split_id(Arena *arena, const char *id, const char **part, const char **edge)
{
    const char *point = strchr(id, '.');
    *part = NULL;
    *edge = id;
    if (point) {
        *part = arena_copy(arena, id, (size_t)(point - id));
        *edge = point + 1;
    }
    return (!*part || is_id(*part)) && is_id(*edge);
}

/* Names the part and edge of a path; false if it names none, with a message. */
static bool name_path(Reader *reader, const Frame *frame, const char *id, const char **part,
                      const char **edge)
{
    Where at = attribute_at(reader, "id");
    if (!split_id(reader->arena, id, part, edge)) {
        if (frame->part)
            message_error(reader->messages, at,
                          "'%s' cannot be the id of an edge: write EDGE or PART.EDGE with "
                          "letters, digits and '-'",
                          shown(reader, id));
        else
            message_notice(reader->messages, at, "path '%s' belongs to no part and is not read",
                           shown(reader, id));
        return false;
    }
    if (*part)
        return true;
    *part = frame->part;
    if (!*part)
        message_notice(reader->messages, at,
                       "path '%s' belongs to no part and is not read; put it into a group with "
                       "the part's id or write PART.%s",
                       shown(reader, id), shown(reader, id));
    else if (!is_id(*part))
        message_error(reader->messages, frame->part_at,
                      "'%s' cannot be the id of a part, and the path '%s' lies in it: letters, "
                      "digits and '-' are expected",
                      shown(reader, *part), shown(reader, id));
    return *part && is_id(*part);
}

/* ---- paths ---- */

static void say_bad_data(Reader *reader, const char *data, size_t offset, const char *id,
                         const char *reason)
{
    size_t character = 1, length = 0;
    uint32_t codepoint;
    for (size_t i = 0; i < offset && data[i]; i++)
        character += ((unsigned char)data[i] & 0xC0) != 0x80;
    if (data[offset])
        length = utf8_decode(data + offset, strlen(data + offset), &codepoint);
    if (length)
        message_error(reader->messages, here(reader),
                      "path data of '%s', character %zu ('%.*s'): %s", shown(reader, id), character,
                      (int)length, data + offset, reason);
    else
        message_error(reader->messages, here(reader), "path data of '%s', at the end: %s",
                      shown(reader, id), reason);
}

static double farther(double reach, Point a, Point b)
{
    return fmax(reach, fmax(fabs(a.x - b.x), fabs(a.y - b.y)));
}

/* Whether all is finite and near, and neither the path nor a piece of it has shrunk
 * to a point. */
static bool check_placed(Reader *reader, const Path *path, const char *id)
{
    static const double least = 1e-3; /* mm */
    double reach = 0, extent = 0;
    bool shrunk = false;
    for (size_t i = 0; i < path->count; i++) {
        const Point *p = path->pieces[i].p;
        double piece = 0;
        for (int k = 0; k < 4; k++) {
            if (!isfinite(p[k].x) || !isfinite(p[k].y))
                reach = INFINITY;
            reach = farther(reach, p[k], (Point){0, 0});
            extent = farther(extent, p[k], path_start(path));
            piece = farther(piece, p[k], p[0]);
        }
        shrunk = shrunk || !(piece > 0);
    }
    const char *fault = reach > DRAWING_REACH_MM   ? "reaches further than 10 m from the origin"
                        : shrunk || extent < least ? "is drawn so small that nothing is left of it"
                                                   : NULL;
    if (fault)
        message_error(reader->messages, here(reader),
                      "path '%s' %s; check the unit of width and height, viewBox and transforms",
                      shown(reader, id), fault);
    return !fault;
}

/* Path data come with y upwards already: the drawing's matrix is taken between two
 * mirrors. */
static bool place_path(Reader *reader, const Frame *frame, const char *data, const char *id,
                       Path *path)
{
    static const Matrix mirror = {1, 0, 0, -1, 0, 0};
    Text problem = {0};
    size_t offset = 0;
    bool read = path_read(reader->arena, data, strlen(data), path, &offset, &problem);
    if (!read)
        say_bad_data(reader, data, offset, id, text_string(&problem));
    text_free(&problem);
    if (!read)
        return false;
    path_transform(path, matrix_times(mirror, matrix_times(frame->matrix, mirror)));
    return check_placed(reader, path, id);
}

static void take_path(Reader *reader, const Frame *frame, Attributes attributes)
{
    const char *id = attribute(attributes, "id"), *data = attribute(attributes, "d");
    DrawnEdge edge = {.at = here(reader)};
    if (!id || !name_path(reader, frame, id, &edge.part, &edge.edge))
        return;
    DrawnEdge *twin = drawing_find(reader->drawing, edge.part, edge.edge);
    if (twin) {
        message_error_two(reader->messages, edge.at, twin->at,
                          "a second path for edge '%s.%s'; one path an edge",
                          shown(reader, edge.part), shown(reader, edge.edge));
        return;
    }
    if (reader->drawing->count == DRAWING_PATHS_MOST) {
        message_error(reader->messages, edge.at, "more than %d paths with ids are not read",
                      DRAWING_PATHS_MOST);
        stop(reader);
        return;
    }
    if (!data) {
        message_error(reader->messages, edge.at, "path '%s' has no path data (d=\"…\")",
                      shown(reader, id));
        return;
    }
    if (!place_path(reader, frame, data, id, &edge.path))
        return;
    Drawing *drawing = reader->drawing;
    edge.part = arena_copy(reader->arena, edge.part, strlen(edge.part));
    edge.edge = arena_copy(reader->arena, edge.edge, strlen(edge.edge));
    *ARENA_PUSH(reader->arena, drawing->edges, drawing->count, drawing->capacity) = edge;
}

/* ---- the page and the groups ---- */

static bool read_page_length(Reader *reader, Attributes attributes, const char *name, double *mm)
{
    const char *value = attribute(attributes, name);
    Text problem = {0};
    if (!value) {
        message_error(reader->messages, here(reader),
                      "the drawing has no %s; width and height say its unit, as in "
                      "width=\"400mm\"",
                      name);
        return false;
    }
    bool read = drawing_length(reader->plain, value, mm, &problem);
    if (!read)
        message_error(reader->messages, attribute_at(reader, name), "%s '%s': %s", name,
                      shown(reader, value), text_string(&problem));
    text_free(&problem);
    return read;
}

/* From the drawing's units to mm. */
static Matrix page_matrix(Reader *reader, Attributes attributes)
{
    double width, height, box[4];
    bool sized = read_page_length(reader, attributes, "width", &width);
    if (!read_page_length(reader, attributes, "height", &height) || !sized)
        return MATRIX_NONE;
    const char *value = attribute(attributes, "viewBox");
    if (!value) {
        message_notice(reader->messages, here(reader),
                       "the drawing has no viewBox: a unit of it counts as 1 px, 96 to the inch");
        return (Matrix){25.4 / 96, 0, 0, 25.4 / 96, 0, 0};
    }
    Text problem = {0};
    if (!drawing_view_box(reader->plain, value, box, &problem)) {
        message_error(reader->messages, attribute_at(reader, "viewBox"), "viewBox '%s': %s",
                      shown(reader, value), text_string(&problem));
        text_free(&problem);
        return MATRIX_NONE;
    }
    double across = width / box[2], down = height / box[3];
    Matrix matrix = {across, 0, 0, across, -across * box[0], -across * box[1]};
    if (!matrix_is_sound(matrix)) {
        message_error(reader->messages, attribute_at(reader, "viewBox"),
                      "width, height and viewBox give a scale that cannot be used");
    } else if (!(fabs(across - down) <= scales_alike * fmax(across, down))) {
        text_add_number(&problem, across, 7);
        text_add(&problem, " mm across and ");
        text_add_number(&problem, down, 7);
        message_error(reader->messages, attribute_at(reader, "viewBox"),
                      "width, height and viewBox give two scales: a unit is %s mm down; make "
                      "them proportional",
                      text_string(&problem));
    }
    text_free(&problem);
    return matrix;
}

static void open_root(Reader *reader, const char *name, Attributes attributes, Frame *frame)
{
    if (!name || strcmp(name, "svg") != 0) {
        message_error(reader->messages, here(reader),
                      "this is no SVG drawing: its first element is '%s', not 'svg'",
                      shown(reader, name ? name : "of another vocabulary"));
        stop(reader);
        return;
    }
    if (attribute(attributes, "transform"))
        message_error(reader->messages, attribute_at(reader, "transform"),
                      "a transform of the whole drawing is not read; put it on a group");
    frame->matrix = page_matrix(reader, attributes);
}

static void take_transform(Reader *reader, Attributes attributes, Frame *frame)
{
    const char *value = attribute(attributes, "transform");
    Matrix matrix;
    Text problem = {0};
    if (!value)
        return;
    bool read = drawing_transform(reader->plain, value, &matrix, &problem);
    if (read) {
        frame->matrix = matrix_times(frame->matrix, matrix);
        read = matrix_is_sound(frame->matrix);
        if (!read)
            text_add(&problem, "with those around it, it flattens the drawing or is not finite");
    }
    if (!read)
        message_error(reader->messages, attribute_at(reader, "transform"), "transform '%s': %s",
                      shown(reader, value), text_string(&problem));
    text_free(&problem);
}

static void open_group(Reader *reader, Attributes attributes, Frame *frame)
{
    const char *id = attribute(attributes, "id");
    take_transform(reader, attributes, frame);
    if (id) {
        frame->part = arena_copy(reader->arena, id, strlen(id));
        frame->part_at = attribute_at(reader, "id");
    }
}

/* ---- elements ---- */

/* Says why the element is not taken; false for those that are. */
static bool refuse_element(Reader *reader, const char *name)
{
    static const struct {
        const char *name, *advice;
    } refused[] = {
        {"use", "copies are not read: draw the path itself (turn the clone into an object)"},
        {"svg", "an svg within an svg is not read: use a group with a transform"},
        {"style", "style sheets are not read: write presentation as attributes"},
        {"script", "scripts are not read: remove them"},
    };
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++)
        if (strcmp(name, refused[i].name) == 0) {
            message_error(reader->messages, here(reader), "<%s>: %s", name, refused[i].advice);
            return true;
        }
    return false;
}

static void note_line(Reader *reader, const char *name, Attributes attributes, const Frame *frame)
{
    const char *id = attribute(attributes, "id");
    if (id && frame->part)
        message_notice(reader->messages, here(reader),
                       "'%s' is a <%s> and is not read; turn it into a path if it is an edge",
                       shown(reader, id), name);
}

static void open_element(Reader *reader, const char *name, Attributes attributes, Frame *frame)
{
    static const char *const groups[] = {"g", "a", "switch", NULL};
    static const char *const lines[] = {"line", "polyline", NULL};
    if (!name || refuse_element(reader, name)) {
        frame->skipped = true;
        return;
    }
    check_attributes(reader, attributes);
    if (frame->skipped)
        return;
    if (is_one_of(name, groups)) {
        open_group(reader, attributes, frame);
        return;
    }
    if (strcmp(name, "path") == 0) {
        take_transform(reader, attributes, frame);
        take_path(reader, frame, attributes);
    } else if (is_one_of(name, lines)) {
        note_line(reader, name, attributes, frame);
    }
    frame->skipped = true; /* nothing within is drawn by itself */
}

static void XMLCALL element_starts(void *data, const XML_Char *name, const XML_Char **attributes)
{
    Reader *reader = data;
    if (reader->stopped)
        return;
    if (reader->depth == DRAWING_DEPTH_MOST) {
        message_error(reader->messages, here(reader), "elements lie more than %d deep",
                      DRAWING_DEPTH_MOST);
        stop(reader);
        return;
    }
    Frame *frame = &reader->frames[++reader->depth];
    *frame = frame[-1];
    if (reader->depth == 1) {
        check_attributes(reader, attributes);
        open_root(reader, own_name(name), attributes, frame);
    } else {
        open_element(reader, own_name(name), attributes, frame);
    }
    if (!reader->stopped && messages_full(reader->messages, reader->drawing->file))
        stop(reader);
}

static void XMLCALL element_ends(void *data, const XML_Char *name)
{
    Reader *reader = data;
    (void)name;
    if (!reader->stopped)
        reader->depth--;
}

/* ---- the document ---- */

/* Expat calls at the end of the declaration or at its bracket. */
static Where document_type_at(const Reader *reader)
{
    static const char begin[] = "<!DOCTYPE";
    XML_Index at = XML_GetCurrentByteIndex(reader->parser);
    while (at > 0 && strncmp(reader->bytes + at, begin, sizeof begin - 1) != 0)
        at--;
    return at < 0 ? here(reader)
                  : moved((Where){reader->drawing->file, 1, 1}, reader->bytes, (size_t)at);
}

static void XMLCALL document_type(void *data, const XML_Char *name, const XML_Char *system,
                                  const XML_Char *public, int internal)
{
    Reader *reader = data;
    (void)name, (void)system, (void)public, (void)internal;
    message_error(reader->messages, document_type_at(reader),
                  "a document type is not read, nor the entities it may declare: delete <!DOCTYPE "
                  "…>");
    stop(reader);
}

static void XMLCALL declaration(void *data, const XML_Char *version, const XML_Char *encoding,
                                int standalone)
{
    Reader *reader = data;
    (void)version, (void)standalone;
    if (!encoding || strcasecmp(encoding, "UTF-8") == 0)
        return;
    message_error(reader->messages, here(reader),
                  "the encoding is '%s'; only UTF-8 is read: save the drawing as UTF-8",
                  shown(reader, encoding));
    stop(reader);
}

static void XMLCALL instruction(void *data, const XML_Char *target, const XML_Char *text)
{
    Reader *reader = data;
    (void)text;
    if (!reader->stopped && strcmp(target, "xml-stylesheet") == 0)
        message_error(reader->messages, here(reader),
                      "style sheets are not read: write presentation as attributes");
}

static bool check_bytes(Reader *reader)
{
    Where start = {reader->drawing->file, 1, 1};
    if (reader->length >= 2 &&
        (memcmp(reader->bytes, "\xFE\xFF", 2) == 0 || memcmp(reader->bytes, "\xFF\xFE", 2) == 0)) {
        message_error(reader->messages, start,
                      "the drawing is UTF-16; only UTF-8 is read: save it as UTF-8");
        return false;
    }
    size_t valid = utf8_valid_prefix(reader->bytes, reader->length);
    if (valid < reader->length)
        message_error(reader->messages, moved(start, reader->bytes, valid),
                      "a byte that is not UTF-8 (0x%02X); only UTF-8 is read",
                      (unsigned char)reader->bytes[valid]);
    return valid == reader->length;
}

static void parse(Reader *reader)
{
    XML_Parser parser = reader->parser;
    XML_SetUserData(parser, reader);
    XML_SetElementHandler(parser, element_starts, element_ends);
    XML_SetStartDoctypeDeclHandler(parser, document_type);
    XML_SetXmlDeclHandler(parser, declaration);
    XML_SetProcessingInstructionHandler(parser, instruction);
    XML_SetParamEntityParsing(parser, XML_PARAM_ENTITY_PARSING_NEVER);
    if (XML_Parse(parser, reader->bytes, (int)reader->length, XML_TRUE) == XML_STATUS_OK)
        return;
    enum XML_Error error = XML_GetErrorCode(parser);
    if (error == XML_ERROR_NO_MEMORY)
        out_of_memory();
    if (!reader->stopped)
        message_error(reader->messages, here(reader), "not well-formed XML: %s",
                      XML_ErrorString(error));
}

DrawnEdge *drawing_find(Drawing *drawing, const char *part, const char *edge)
{
    for (size_t i = 0; i < drawing->count; i++)
        if (strcmp(drawing->edges[i].edge, edge) == 0 && strcmp(drawing->edges[i].part, part) == 0)
            return &drawing->edges[i];
    return NULL;
}

Drawing *drawing_read_bytes(Arena *arena, const char *path, const char *bytes, size_t length,
                            Messages *messages)
{
    size_t errors = messages->errors;
    Drawing *drawing = ARENA_NEW(arena, Drawing, 1);
    drawing->file = arena_copy(arena, path, strlen(path));
    Reader *reader = memory_new(1, sizeof *reader);
    reader->arena = arena;
    reader->drawing = drawing;
    reader->messages = messages;
    /* Ends in NUL, whatever was given. */
    reader->bytes = length <= DRAWING_FILE_MOST ? arena_copy(arena, bytes, length) : NULL;
    reader->length = length;
    reader->frames[0].matrix = MATRIX_NONE;
    if (!reader->bytes) {
        message_error(messages, (Where){drawing->file, 0, 0},
                      "drawing is larger than %d MiB, the most accepted", DRAWING_FILE_MOST >> 20);
    } else if (check_bytes(reader)) {
        reader->parser = XML_ParserCreateNS("UTF-8", '|');
        reader->plain = newlocale(LC_ALL_MASK, "C", (locale_t)0);
        if (!reader->parser || !reader->plain)
            out_of_memory();
        parse(reader);
        freelocale(reader->plain);
        XML_ParserFree(reader->parser);
    }
    free(reader);
    return messages->errors == errors ? drawing : NULL;
}

Drawing *drawing_read(Arena *arena, const char *path, Messages *messages)
{
    char *bytes;
    size_t length;
    if (!file_read(arena, path, DRAWING_FILE_MOST, messages, &bytes, &length))
        return NULL;
    return drawing_read_bytes(arena, path, bytes, length, messages);
}
