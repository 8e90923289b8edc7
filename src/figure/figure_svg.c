/* Pictures as SVG: for the report and for files. Source: Scalable Vector Graphics
 * (SVG) 1.1 (Second Edition), W3C Recommendation 2011. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"
#include "figure/figure_inside.h"

#define DOT_MM 0.5
#define BOLD 1.1 /* how much wider bold letters are */
#define WIDTH_LEAST 20.0
#define WIDTH_MOST 1000.0
#define TALLEST_MM 220.0 /* what an A4 page has left beside words */

/* A reddish orange that people with any common colour blindness tell from grey and
 * blue, dark enough to print, light enough for dark pages. Marks have a shape too. */
#define TROUBLE_COLOUR "#d55e00"

enum { MARK_DOTS = 3, HATCH_DOTS = 3, LINE_STEP = 7 };

/* Millimetres with at most two decimals, whatever the locale. */
static void add_mm(Text *out, double mm)
{
    long hundredths = lround(mm * 100);
    if (hundredths < 0) {
        text_add(out, "-");
        hundredths = -hundredths;
    }
    text_addf(out, "%ld", hundredths / 100);
    if (hundredths % 10 != 0)
        text_addf(out, ".%02ld", hundredths % 100);
    else if (hundredths % 100 != 0)
        text_addf(out, ".%ld", hundredths % 100 / 10);
}

static void add_dots(Text *out, const char *before, double dots)
{
    text_add(out, before);
    add_mm(out, dots * DOT_MM);
}

static void add_attribute(Text *out, const char *name, double dots)
{
    text_addf(out, " %s=\"", name);
    add_mm(out, dots * DOT_MM);
    text_add(out, "\"");
}

/* Visible, then escaped for XML. */
static void add_escaped(Text *out, const char *string)
{
    Text visible = {0};
    text_add_visible(&visible, string, strlen(string));
    for (const char *at = text_string(&visible); *at;) {
        size_t plain = strcspn(at, "&<>\"");
        text_add_bytes(out, at, plain);
        at += plain;
        if (!*at)
            break;
        text_add(out, *at == '&' ? "&amp;" : *at == '<' ? "&lt;" : *at == '>' ? "&gt;" : "&quot;");
        at++;
    }
    text_free(&visible);
}

/* Width of a character in ems, rather too wide than too narrow, whatever the font. */
static double ems(uint32_t codepoint)
{
    if (codepoint >= 0x300 && codepoint <= 0x36F)
        return 0; /* combining marks */
    if (codepoint >= 0x1100)
        return codepoint >= 0x2000 && codepoint < 0x2E80 ? 0.8 : 1.05;
    if (codepoint < 0x80 && strchr(" .,:;'|!ijl()[]", (int)codepoint))
        return 0.36;
    if ((codepoint >= 'A' && codepoint <= 'Z') || codepoint == '%')
        return codepoint == 'W' || codepoint == 'M' || codepoint == '%' ? 0.95 : 0.72;
    return codepoint == 'm' || codepoint == 'w' ? 0.95 : 0.62;
}

static double text_ems(const char *text)
{
    double sum = 0;
    for (size_t length = strlen(text); length > 0;) {
        uint32_t codepoint = '?';
        size_t step = utf8_decode(text, length, &codepoint);
        step = step ? step : 1;
        sum += ems(codepoint);
        text += step;
        length -= step;
    }
    return sum;
}

static int svg_width(const Surface *surface, Pen pen, const char *text)
{
    double bold = pen == PEN_TROUBLE ? BOLD : 1;
    return (int)ceil(text_ems(text) * bold * surface->em) + 1;
}

/* Text is 3.2 mm (9 points) on a page's width, never under 2.2 mm. */
static Surface svg_surface(double width_mm, bool freely)
{
    double em_mm = fmin(fmax(width_mm / 45, 2.2), 3.2);
    double height = fmin(width_mm * 1.25, TALLEST_MM * fmax(width_mm / 180, 1));
    return (Surface){
        .width = (int)floor(width_mm / DOT_MM),
        .height = (int)floor((freely ? width_mm : height) / DOT_MM),
        .tallest = 0.45,
        .step_x = 1,
        .step_y = 1,
        .gap_x = 3,
        .gap_y = 3,
        .far_x = MARK_DOTS,
        .far_y = MARK_DOTS,
        .clear_x = 2,
        .clear_y = 2,
        .line_height = (int)ceil(em_mm * 1.08 / DOT_MM),
        .mark = MARK_DOTS,
        .centred = true,
        .em = em_mm / DOT_MM,
        .label_width = svg_width,
    };
}

static const char *stroke(Pen pen)
{
    switch (pen) {
    case PEN_FAINT:
        return " stroke-width=\"0.2\" stroke-opacity=\"0.6\"";
    case PEN_STITCH:
        return " stroke-width=\"0.35\" stroke-dasharray=\"1.4 0.9\"";
    case PEN_LIMIT:
        return " stroke-width=\"0.45\" stroke-dasharray=\"5 1.6\"";
    case PEN_TROUBLE:
        return " stroke=\"" TROUBLE_COLOUR "\" stroke-width=\"0.9\"";
    case PEN_FILL:
    case PEN_FILL_OTHER:
        return " stroke-width=\"0.25\"";
    default:
        return " stroke-width=\"0.4\"";
    }
}

static const char *fill(Pen pen)
{
    switch (pen) {
    case PEN_FILL:
        return " fill=\"currentColor\" fill-opacity=\"0.06\"";
    case PEN_FILL_OTHER:
        return " fill=\"currentColor\" fill-opacity=\"0.14\"";
    case PEN_TROUBLE:
        return " fill=\"" TROUBLE_COLOUR "\" fill-opacity=\"0.3\"";
    default:
        return "";
    }
}

/* Slanted lines inside the area, drawn as what they are: a pattern would need a
 * name that is the only one of its kind on the page. */
static void add_hatch(Arena *arena, Text *out, const Point *points, size_t count)
{
    Point *turned = ARENA_NEW(arena, Point, count); /* x along the hatch, y across it */
    double *xs = ARENA_NEW(arena, double, count);
    double least = INFINITY, most = -INFINITY;
    for (size_t i = 0; i < count; i++) {
        turned[i] = (Point){(points[i].x - points[i].y) / 2, (points[i].x + points[i].y) / 2};
        least = fmin(least, turned[i].y);
        most = fmax(most, turned[i].y);
    }
    text_add(out, "<path stroke-width=\"0.15\" stroke-opacity=\"0.7\" d=\"");
    for (double y = ceil(least / HATCH_DOTS) * HATCH_DOTS; y <= most; y += HATCH_DOTS) {
        size_t found = area_crossings(turned, count, y, xs);
        for (size_t i = 0; i + 1 < found; i += 2) {
            add_dots(out, "M", y + xs[i]);
            add_dots(out, " ", y - xs[i]);
            add_dots(out, "L", y + xs[i + 1]);
            add_dots(out, " ", y - xs[i + 1]);
        }
    }
    text_add(out, "\"/>\n");
}

static void add_path(Text *out, Pen pen, const Point *points, size_t count, bool closed)
{
    text_addf(out, "<path%s%s d=\"", stroke(pen), closed ? fill(pen) : "");
    for (size_t i = 0; i < count; i++) {
        add_dots(out, i == 0 ? "M" : i == 1 ? "L" : " ", points[i].x);
        add_dots(out, " ", points[i].y);
    }
    if (count == 1)
        text_add(out, "h0"); /* its round cap is seen */
    text_add(out, closed ? "Z\"/>\n" : "\"/>\n");
}

/* A disc with a cross in it for trouble, a small ring else. */
static void add_mark(Text *out, Pen pen, Point at)
{
    bool trouble = pen == PEN_TROUBLE;
    double radius = trouble ? MARK_DOTS : 1.6, arm = radius * 0.5;
    text_addf(out, "<circle%s",
              trouble ? " stroke=\"none\" fill=\"" TROUBLE_COLOUR "\"" : " stroke-width=\"0.4\"");
    add_attribute(out, "cx", at.x);
    add_attribute(out, "cy", at.y);
    add_attribute(out, "r", radius);
    text_add(out, "/>\n");
    if (!trouble)
        return;
    text_add(out, "<path stroke=\"#ffffff\" stroke-width=\"0.5\" d=\"");
    for (int way = -1; way <= 1; way += 2) {
        add_dots(out, "M", at.x - arm);
        add_dots(out, " ", at.y - way * arm);
        add_dots(out, "L", at.x + arm);
        add_dots(out, " ", at.y + way * arm);
    }
    text_add(out, "\"/>\n");
}

static void add_words(Text *out, double x, double baseline, int anchor, double em, bool bold,
                      const char *words)
{
    text_add(out, "<text");
    add_attribute(out, "x", x);
    add_attribute(out, "y", baseline);
    add_attribute(out, "font-size", em);
    if (anchor >= 0)
        text_addf(out, " text-anchor=\"%s\"", anchor == 0 ? "middle" : "end");
    text_add(out, bold ? " font-weight=\"bold\">" : ">");
    add_escaped(out, words);
    text_add(out, "</text>\n");
}

static double baseline_of(const Surface *surface, Rect rect)
{
    return rect.y + (rect.height - 1) / 2.0 + 0.36 * surface->em;
}

static void add_label(Text *out, const Surface *surface, const Shape *shape, const Tag *tag)
{
    Rect rect = tag->rect;
    double x = tag->anchor < 0    ? rect.x
               : tag->anchor == 0 ? rect.x + (rect.width - 1) / 2.0
                                  : rect.x + rect.width - 1;
    add_words(out, x, baseline_of(surface, rect), tag->anchor, surface->em,
              shape->pen == PEN_TROUBLE, shape->text);
}

static void add_shape(Arena *arena, Text *out, const Layout *layout, const Shape *shape,
                      const Tag *tag)
{
    size_t count;
    Point *points = view_points(arena, &layout->view, shape, 0.1, &count);
    if (shape->kind == SHAPE_AREA) {
        add_path(out, shape->pen, points, count, true);
        if (shape->pen == PEN_FILL_OTHER)
            add_hatch(arena, out, points, count);
    }
    if (shape->kind == SHAPE_LINE)
        add_path(out, shape->pen, points, count, false);
    if (shape->kind == SHAPE_MARK)
        add_mark(out, shape->pen, points[0]);
    if (is_callout(shape) && tag->shown) {
        Point ends[2];
        layout_leader(layout, shape, tag, ends);
        add_path(out, PEN_FAINT, ends, 2, false);
    }
}

static void add_scale_bar(Text *out, const Scale *scale)
{
    Point lines[3][2];
    scale_lines(scale, lines);
    for (int i = 0; i < 3; i++)
        add_path(out, PEN_LINE, lines[i], 2, false);
}

static void add_picture(Arena *arena, Text *out, const Figure *figure, const Surface *surface,
                        const Layout *layout)
{
    text_add(out, "<g fill=\"none\" stroke=\"currentColor\" stroke-linejoin=\"round\" "
                  "stroke-linecap=\"round\">\n");
    for (int weight = 0; weight <= pen_weight(PEN_TROUBLE); weight++)
        for (size_t i = 0; i < figure->count; i++)
            if (pen_weight(figure->shapes[i].pen) == weight)
                add_shape(arena, out, layout, &figure->shapes[i], &layout->tags[i]);
    const Scale *scale = &layout->scale;
    if (scale->words[0])
        add_scale_bar(out, scale);
    text_add(out, "</g>\n");
    for (size_t i = 0; i < figure->count; i++)
        if (figure->shapes[i].kind == SHAPE_LABEL && layout->tags[i].shown)
            add_label(out, surface, &figure->shapes[i], &layout->tags[i]);
    if (scale->words[0])
        add_words(out, scale->rect.x, baseline_of(surface, scale->rect), -1, surface->em, false,
                  scale->words);
}

/* Bytes of the first word of `at`, a number with its unit counting as one, or of as
 * much of it as fits a line of `room` ems. */
static size_t word_that_fits(const char *at, double room)
{
    size_t length = strcspn(at, " "), fits = 0;
    while (length > 0 && at[length] == ' ' && at[length - 1] >= '0' && at[length - 1] <= '9')
        length += 1 + strcspn(at + length + 1, " ");
    for (double taken = 0; fits < length;) {
        uint32_t codepoint = '?';
        size_t step = utf8_decode(at + fits, length - fits, &codepoint);
        step = step ? step : 1;
        taken += ems(codepoint);
        if (taken > room && fits > 0)
            break;
        fits += step;
    }
    return fits;
}

static void end_line(Text *out, const Surface *surface, Text *line, bool bold, double *top)
{
    if (line->length > 0) {
        add_words(out, 0, *top + surface->em, -1, surface->em, bold, line->bytes);
        *top += surface->line_height * 1.2;
    }
    text_clear(line);
}

/* Lines of words above or below the picture, wrapped by the width of their letters;
 * `top` moves down. */
static void add_paragraph(Text *out, const Surface *surface, const char *words, size_t length,
                          bool bold, double *top)
{
    Text visible = {0}, line = {0};
    text_add_visible(&visible, words, length);
    double room = (surface->width - 1) / surface->em / (bold ? BOLD : 1), taken = 0;
    for (const char *at = text_string(&visible); *at;) {
        size_t step = word_that_fits(at, room);
        Text word = {0};
        text_add_bytes(&word, at, step);
        double width = text_ems(text_string(&word));
        if (line.length > 0 && taken + ems(' ') + width > room)
            end_line(out, surface, &line, bold, top);
        taken = line.length > 0 ? taken + ems(' ') + width : width;
        text_add(&line, line.length > 0 ? " " : "");
        text_add(&line, text_string(&word));
        text_free(&word);
        at += step;
        at += strspn(at, " ");
    }
    end_line(out, surface, &line, bold, top);
    text_free(&line);
    text_free(&visible);
}

static void add_notes(Text *out, const Figure *figure, const Surface *surface, const Layout *layout,
                      double *top)
{
    Text said = {0};
    figure_left_out(&said, layout, figure);
    add_paragraph(out, surface, text_string(&said), said.length, false, top);
    text_free(&said);
    for (const char *at = text_string(&figure->notes); *at;) {
        size_t length = strcspn(at, "\n");
        add_paragraph(out, surface, at, length, false, top);
        at += length + (at[length] == '\n');
    }
}

static void add_head(Text *out, const Figure *figure, double width_mm, double height_mm, bool alone)
{
    if (alone)
        text_add(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    text_add(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"");
    add_mm(out, width_mm);
    text_add(out, "mm\" height=\"");
    add_mm(out, height_mm);
    text_add(out, "mm\" viewBox=\"0 0 ");
    add_mm(out, width_mm);
    text_add(out, " ");
    add_mm(out, height_mm);
    text_add(out, "\" font-family=\"sans-serif\" fill=\"currentColor\">\n<title>");
    add_escaped(out, figure->title ? figure->title : "picture");
    text_add(out, "</title>\n");
    if (alone)
        text_add(out, "<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n");
}

void figure_svg(Text *out, const Figure *figure, double width_mm, bool alone)
{
    Arena arena = {0};
    Text above = {0}, picture = {0}, below = {0};
    double width = fmin(fmax(width_mm, WIDTH_LEAST), WIDTH_MOST), top = 0, under = LINE_STEP / 2.0;
    Surface surface = svg_surface(width, !(figure->stretch > 0));
    Layout layout = figure_layout(&arena, figure, &surface);
    add_picture(&arena, &picture, figure, &surface, &layout);
    if (figure->title) {
        add_paragraph(&above, &surface, figure->title, strlen(figure->title), true, &top);
        top += LINE_STEP / 2.0;
    }
    under += dots_bottom(&layout.dots);
    add_notes(&below, figure, &surface, &layout, &under);
    add_head(out, figure, width, (top + under) * DOT_MM, alone);
    text_add(out, text_string(&above));
    add_dots(out, "<g transform=\"translate(0 ", top);
    text_add(out, ")\">\n");
    text_add(out, text_string(&picture));
    text_add(out, text_string(&below));
    text_add(out, "</g>\n</svg>\n");
    text_free(&above);
    text_free(&picture);
    text_free(&below);
    arena_free(&arena);
}
