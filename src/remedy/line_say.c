/* A proposed line in words, and as a drawing. For commands, screen and report. */
#include <math.h>
#include <string.h>

#include "remedy/line.h"

/* ---- In words ---- */

static void add_mm(Text *text, double mm)
{
    text_add_number(text, rint(mm * 100) / 100, 6);
    text_add(text, " mm");
}

static void add_bends(Text *text, const Style *style, const char *edge)
{
    const RecordList *bends = &style->lists[SUBJECT_BEND];
    size_t count = 0;
    for (size_t i = 0; i < bends->count; i++) {
        const Record *bend = bends->items[i];
        if (!bend->owner || strcmp(bend->owner->path, edge) != 0)
            continue;
        const Value *radius = record_value(bend, BEND_RADIUS);
        const WordList *curves = field_at(BEND_CURVE)->words;
        bool hollow = (int)record_value(bend, BEND_CURVE)->code ==
                      word_index(curves, "inward", strlen("inward"));
        text_addf(text, "%s%s ", count++ ? ", " : "", hollow ? "hollow" : "rounded");
        if (radius->quantity.nominal == 0)
            text_add(text, "corner");
        else
            add_mm(text, radius->quantity.nominal);
    }
    text_add(text, count ? "" : "none");
}

static void say_reason(Text *text, const ProposedLine *proposed, const LineChange *change)
{
    text_addf(text, "edge %s", change->edge->path);
    if (change->reason == LINE_IN_PLACE)
        text_addf(text, ", sewn to it in seam %s, on the same line", change->seam->record->path);
    if (change->reason == LINE_ALIKE)
        text_addf(text, ", sewn to it in seam %s, rounded likewise", change->seam->record->path);
    text_add(text, "\n  bends drawn:    ");
    add_bends(text, proposed->before->style, change->edge->path);
    text_add(text, "\n  bends proposed: ");
    add_bends(text, proposed->style, change->edge->path);
    text_add(text, "\n");
}

static void say_change(Text *text, const ProposedLine *proposed, const LineChange *change)
{
    const Rounded *r = &change->rounded;
    say_reason(text, proposed, change);
    text_add(text, "  at most ");
    add_mm(text, r->deviation);
    text_add(text, " off the drawn line, at x ");
    text_add_number(text, rint(r->drawn_at.x * 10) / 10, 6);
    text_add(text, ", y ");
    text_add_number(text, rint(-r->drawn_at.y * 10) / 10, 6);
    text_add(text, " mm of the page\n  the edge ");
    add_mm(text, fabs(r->longer));
    text_addf(text, " %s, part %s ", r->longer < 0 ? "shorter" : "longer",
              change->edge->owner->path);
    text_add_number(text, rint(fabs(r->larger) * 10) / 10, 6);
    text_addf(text, " mm2 %s\n", r->larger < 0 ? "smaller" : "larger");
    if (r->corners > 0)
        text_addf(text, "  %zu corner%s stay%s\n", r->corners, r->corners == 1 ? "" : "s",
                  r->corners == 1 ? "s" : "");
}

static void say_tally(Text *text, const size_t tally[VERDICT_COUNT])
{
    text_addf(text, "%zu flag, %zu unknown, %zu tight, %zu pass", tally[VERDICT_FLAG],
              tally[VERDICT_UNKNOWN], tally[VERDICT_TIGHT], tally[VERDICT_PASS]);
}

static void say_judged(Text *text, const ProposedLine *proposed)
{
    const Comparison *c = proposed->comparison;
    text_add(text, "judged at these edges and their bends: ");
    say_tally(text, proposed->was);
    text_add(text, "; with the proposed lines ");
    say_tally(text, proposed->is);
    text_add(text, "\njudged in the whole style: ");
    say_tally(text, proposed->before->tally);
    text_add(text, "; with the proposed lines ");
    say_tally(text, proposed->judgement->tally);
    text_add(text, "\n");
    size_t alike = 0;
    for (size_t i = 0; i < c->count; i++) {
        const Difference *d = &c->items[i];
        if (d->before && d->after && d->before->verdict == d->after->verdict) {
            alike++;
            continue;
        }
        text_add(text, "  ");
        difference_say(text, c, d);
        text_add(text, "\n");
    }
    if (alike > 0)
        text_addf(text, "  and %zu whose verdict stays, with more or less to spare\n", alike);
}

void proposed_say(Text *text, const ProposedLine *proposed)
{
    for (size_t i = 0; i < proposed->count; i++)
        say_change(text, proposed, &proposed->changes[i]);
    for (size_t i = 0; i < proposed->stays_count; i++)
        text_addf(text, "edge %s stays as drawn, though it is sewn to it: %s\n",
                  proposed->stays[i].edge->path, proposed->stays[i].reason);
    say_judged(text, proposed);
    text_add(text, "A proposal: the style's drawing is as it was.\n");
}

/* ---- As a drawing ---- */

static const LineChange *change_of(const ProposedLine *proposed, const Record *edge)
{
    for (size_t i = 0; i < proposed->count; i++)
        if (proposed->changes[i].edge == edge)
            return &proposed->changes[i];
    return NULL;
}

/* Parts in the order of their first change. */
static const DrawnPart *part_of(const ProposedLine *proposed, size_t change)
{
    const Style *style = proposed->before->style;
    const DrawnPart *part = style->lines[proposed->changes[change].edge->index].part;
    for (size_t i = 0; i < change; i++)
        if (style->lines[proposed->changes[i].edge->index].part == part)
            return NULL;
    return part;
}

static void add_part(Text *text, const ProposedLine *proposed, const DrawnPart *part)
{
    text_addf(text, "  <g id=\"%s\" fill=\"none\" stroke=\"#000000\" stroke-width=\"0.25\">\n",
              part->part->id);
    for (size_t i = 0; i < part->outline.count; i++) {
        const LineChange *change = change_of(proposed, part->edges[i]);
        text_addf(text, "    <path id=\"%s\"%s d=\"", part->edges[i]->id,
                  change ? " stroke-width=\"0.6\"" : "");
        if (change)
            text_add(text, change->data);
        else
            rounded_path_data(text, &part->outline.edges[i].path);
        text_add(text, "\"/>\n");
    }
    text_add(text, "  </g>\n");
}

void proposed_drawing(Text *text, const ProposedLine *proposed)
{
    double wide = 10, high = 10;
    for (size_t i = 0; i < proposed->count; i++) {
        const Outline *outline = part_of(proposed, i) ? &part_of(proposed, i)->outline : NULL;
        wide = outline ? fmax(wide, ceil(outline->most.x + 5)) : wide;
        high = outline ? fmax(high, ceil(5 - outline->least.y)) : high;
    }
    text_addf(text,
              "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
              "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%.0fmm\" height=\"%.0fmm\" "
              "viewBox=\"0 0 %.0f %.0f\">\n"
              "  <title>Proposed lines, on the page of the drawing they change</title>\n",
              wide, high, wide, high);
    for (size_t i = 0; i < proposed->count; i++)
        if (part_of(proposed, i))
            add_part(text, proposed, part_of(proposed, i));
    text_add(text, "</svg>\n");
}
