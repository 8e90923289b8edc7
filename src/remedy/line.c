/* Proposes a rounder line for a drawn edge and what is sewn to it, and judges the style
 * with it. For commands, screen and report. */
#include "remedy/line.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Lines sewn together that lie nearer than this are drawn as one, mm: their ends are
 * joined to their neighbours within twice that. */
static const double same_line = OUTLINE_JOIN_MM / 2;

typedef struct Proposing {
    const RemedyGround *ground;
    const Style *style;
    const LineWish *wish;
    double share; /* of the edge's length where the bend asked for lies; NaN: all are */
    ProposedLine *proposed;
    size_t change_room, stays_room;
} Proposing;

/* ---- Which line it is ---- */

static const DrawnLine *drawn_line(const Style *style, const Record *edge)
{
    return &style->lines[edge->index];
}

static const Path *path_of_edge(const Style *style, const Record *edge)
{
    const DrawnLine *line = drawn_line(style, edge);
    return &line->part->outline.edges[line->place].path;
}

static bool same_place(Where a, Where b)
{
    return a.line == b.line && a.column == b.column && a.file && b.file &&
           strcmp(a.file, b.file) == 0;
}

static bool is_mirrored(const Style *style, const Record *edge)
{
    return drawn_line(style, edge)->part && drawn_line(style, edge)->part->mirrored;
}

/* The edge itself, or the one whose line it mirrors; NULL: not drawn. */
static const Record *edge_drawn(const Style *style, const Record *edge)
{
    const RecordList *edges = &style->lists[SUBJECT_EDGE];
    if (!drawn_line(style, edge)->part)
        return NULL;
    if (!is_mirrored(style, edge))
        return edge;
    for (size_t i = 0; i < edges->count; i++)
        if (drawn_line(style, edges->items[i])->part && !is_mirrored(style, edges->items[i]) &&
            same_place(drawn_line(style, edges->items[i])->at, drawn_line(style, edge)->at))
            return edges->items[i];
    return NULL;
}

static bool lies_within(const char *path, const char *whole)
{
    size_t length = strlen(whole);
    return strncmp(path, whole, length) == 0 && (path[length] == '\0' || path[length] == '.');
}

/* Also where only its length or a bend of it is kept, or a part that mirrors it. */
static bool is_kept(const Style *style, const Record *edge)
{
    const RecordList *edges = &style->lists[SUBJECT_EDGE];
    static const char *const drawn[] = {"path", "bends", "length"};
    bool kept = false;
    for (size_t i = 0; i < style->keep_count; i++) {
        const char *keep = style->keeps[i]->text;
        for (size_t k = 0; k < edges->count; k++) {
            const Record *one = edges->items[k];
            if (one != edge && edge_drawn(style, one) != edge)
                continue;
            Text path = {0};
            text_addf(&path, "parts.%s.edges.%s", one->owner->path, one->id);
            kept = kept || lies_within(text_string(&path), keep);
            for (size_t d = 0; d < sizeof drawn / sizeof *drawn; d++) {
                text_clear(&path);
                text_addf(&path, "parts.%s.edges.%s.%s", one->owner->path, one->id, drawn[d]);
                kept = kept || lies_within(keep, text_string(&path));
            }
            text_free(&path);
        }
        kept = kept || strcmp(keep, "drawing") == 0;
    }
    return kept;
}

/* ---- Changes ---- */

static LineChange *add_change(Proposing *p, const Record *edge, LineReason reason, const Seam *seam,
                              const Rounded *rounded)
{
    ProposedLine *to = p->proposed;
    LineChange *change = ARENA_PUSH(&to->arena, to->changes, to->count, p->change_room);
    Text data = {0};
    rounded_data(&data, rounded);
    *change = (LineChange){edge, reason, seam, path_of_edge(p->style, edge), *rounded, NULL, NULL};
    change->data = arena_copy(&to->arena, text_string(&data), data.length);
    change->path = arena_printf(&to->arena, "parts.%s.edges.%s.path", edge->owner->path, edge->id);
    text_free(&data);
    return change;
}

static void add_stays(Proposing *p, const Record *edge, const char *reason)
{
    ProposedLine *to = p->proposed;
    *ARENA_PUSH(&to->arena, to->stays, to->stays_count, p->stays_room) =
        (LineStays){edge, arena_copy(&to->arena, reason, strlen(reason))};
}

static bool has_change(const ProposedLine *proposed, const Record *edge)
{
    for (size_t i = 0; i < proposed->count; i++)
        if (proposed->changes[i].edge == edge)
            return true;
    for (size_t i = 0; i < proposed->stays_count; i++)
        if (proposed->stays[i].edge == edge)
            return true;
    return false;
}

/* One a bend of the drawn edge: all 0 but that of the bend asked for, which a mirrored
 * edge counts from its other end. */
static const double *radius_of_bend(Proposing *p, const Record *edge, size_t *count)
{
    const Record *bend = p->wish->place;
    const RecordList *bends = &p->style->lists[SUBJECT_BEND];
    size_t number = 0;
    *count = 0;
    for (size_t i = 0; i < bends->count; i++) {
        number = bends->items[i] == bend ? *count : number;
        *count += bends->items[i]->owner == bend->owner;
    }
    if (bend->owner != edge)
        number = *count - 1 - number;
    double *each = ARENA_NEW(&p->proposed->arena, double, *count), length;
    each[number] = fmax(p->wish->hollow, p->wish->rounded);
    length = path_length(path_of_edge(p->style, bend->owner));
    p->share = record_value(bend, BEND_AT)->quantity.nominal / length;
    p->share = bend->owner == edge ? p->share : 1 - p->share;
    return each;
}

/* Where that is more than there is. */
static void say_share(Text *why, const Path *path, const RoundedWish *wish)
{
    Arena scratch = {0};
    Bend *bends;
    size_t count = bends_find(&scratch, path, &bends);
    double now = INFINITY, most = fmax(wish->hollow, wish->rounded);
    for (size_t i = 0; i < count; i++) {
        double asked = wish->each ? wish->each[i] : bends[i].left ? wish->rounded : wish->hollow;
        most = fmax(most, asked);
        if (bends[i].radius < asked && (!bends[i].corner || wish->corners))
            now = fmin(now, bends[i].radius);
    }
    double can = floor(rounded_share(path, wish) * most * 10) / 10;
    if (can > now) {
        text_add(why, "; about ");
        text_add_number(why, can, 4);
        text_add(why, " mm can be had");
    }
    arena_free(&scratch);
}

static bool change_asked(Proposing *p, const Record *edge, Text *why)
{
    RoundedWish wish = {.hollow = p->wish->hollow,
                        .rounded = p->wish->rounded,
                        .within = p->wish->within,
                        .corners = p->wish->corners};
    const Path *path = path_of_edge(p->style, edge);
    Rounded rounded;
    if (p->wish->place->subject == SUBJECT_BEND)
        wish.each = radius_of_bend(p, edge, &wish.each_count);
    text_addf(why, "%s: ", edge->path);
    if (!rounded_line(&p->proposed->arena, path, &wish, &rounded, why)) {
        say_share(why, path, &wish);
        return false;
    }
    if (rounded.arc_count == 0) {
        text_add(why, "no bend of it is tighter than that; nothing need change");
        return false;
    }
    text_clear(why);
    add_change(p, edge, LINE_ASKED, NULL, &rounded);
    return true;
}

/* ---- What is sewn to it ---- */

static bool is_word(const Record *record, FieldId id, const char *word)
{
    const Value *value = record_value(record, id);
    return value->presence == VALUE_KNOWN &&
           (int)value->code == word_index(field_at(id)->words, word, strlen(word));
}

/* Both edges end at one line. */
static bool joins_in_line(const Seam *seam)
{
    static const char *const joins[] = {"closed", "turned", "butted", "bound"};
    for (size_t i = 0; i < sizeof joins / sizeof *joins; i++)
        if (is_word(seam->record, SEAM_JOIN, joins[i]))
            return true;
    return false;
}

static bool is_inner(const Record *edge)
{
    return is_word(edge->owner, PART_ROLE, "lining") || is_word(edge->owner, PART_ROLE, "sock");
}

static double distance(Point a, Point b)
{
    return hypot(a.x - b.x, a.y - b.y);
}

/* Do both lie on one line of one sheet? `turned`: they run against each other. */
static bool lie_in_place(const Style *style, const Record *one, const Record *other, bool *turned)
{
    const Path *a = path_of_edge(style, one), *b = path_of_edge(style, other);
    Point on_a, on_b;
    if (drawn_line(style, one)->part->sheet != drawn_line(style, other)->part->sheet ||
        !drawn_line(style, one)->part->sheet)
        return false;
    *turned = distance(path_start(a), path_end(b)) < distance(path_start(a), path_start(b));
    Point start = *turned ? path_end(b) : path_start(b),
          end = *turned ? path_start(b) : path_end(b);
    return distance(path_start(a), start) <= same_line && distance(path_end(a), end) <= same_line &&
           rounded_apart(a, b, &on_a, &on_b) <= same_line;
}

/* One a bend: that at `share` of the line gets the radius. False where none lies there. */
static bool radius_at_share(Arena *arena, const Path *path, double share, double radius,
                            RoundedWish *wish)
{
    static const double near = 0.1; /* of the length */
    Bend *bends;
    size_t found = 0;
    double length = path_length(path), least = INFINITY;
    wish->each_count = bends_find(arena, path, &bends);
    double *each = ARENA_NEW(arena, double, wish->each_count);
    for (size_t i = 0; i < wish->each_count; i++) {
        double away = fabs(bends[i].at / length - share);
        if (away < least)
            least = away, found = i;
    }
    if (least > near)
        return false;
    each[found] = radius;
    wish->each = each;
    return true;
}

/* Hollow against rounded where they run against each other, as neighbours do. */
static void change_alike(Proposing *p, const Seam *seam, const Record *asked, const Record *edge)
{
    const LineWish *of = p->wish;
    Arena *arena = &p->proposed->arena;
    const Path *path = path_of_edge(p->style, edge);
    bool flip = record_value(seam->record, SEAM_FLIP)->presence == VALUE_KNOWN &&
                record_value(seam->record, SEAM_FLIP)->code == 1;
    bool against = (is_inner(asked) == is_inner(edge)) != flip;
    RoundedWish wish = {.hollow = against ? of->rounded : of->hollow,
                        .rounded = against ? of->hollow : of->rounded,
                        .within = of->within,
                        .corners = of->corners};
    Text why = {0};
    Rounded rounded;
    if (!isnan(p->share) && !radius_at_share(arena, path, against ? 1 - p->share : p->share,
                                             fmax(of->hollow, of->rounded), &wish))
        add_stays(p, edge, "no bend of it lies where that one does");
    else if (!rounded_line(arena, path, &wish, &rounded, &why))
        add_stays(p, edge, text_string(&why));
    else if (rounded.arc_count > 0)
        add_change(p, edge, LINE_ALIKE, seam, &rounded);
    text_free(&why);
}

static void change_partner(Proposing *p, const Seam *seam, const Record *asked, const Record *edge)
{
    const Record *drawn = edge_drawn(p->style, edge);
    bool turned;
    if (!drawn) {
        if (!has_change(p->proposed, edge))
            add_stays(p, edge, "it is not drawn; its typed values would have to follow");
        return;
    }
    if (has_change(p->proposed, drawn))
        return;
    const LineChange *change = &p->proposed->changes[0];
    if (is_kept(p->style, drawn)) {
        add_stays(p, drawn, "the style keeps it");
    } else if (lie_in_place(p->style, change->edge, drawn, &turned)) {
        Rounded rounded = change->rounded;
        if (turned)
            rounded = rounded_reversed(&p->proposed->arena, &rounded);
        add_change(p, drawn, LINE_IN_PLACE, seam, &rounded);
    } else {
        change_alike(p, seam, asked, drawn);
    }
}

static size_t side_of(const Style *style, const Seam *seam, const Record *edge)
{
    for (size_t side = 0; side < seam->side_count; side++)
        for (size_t i = 0; i < seam->sides[side].count; i++)
            if (edge_drawn(style, seam->sides[side].edges[i]) == edge)
                return side;
    return seam->side_count;
}

static void change_partners(Proposing *p, const Record *asked)
{
    for (size_t i = 0; i < p->style->seam_count; i++) {
        const Seam *seam = &p->style->seams[i];
        size_t own = side_of(p->style, seam, asked);
        if (own == seam->side_count || !joins_in_line(seam))
            continue;
        for (size_t side = 0; side < seam->side_count; side++)
            for (size_t k = 0; side != own && k < seam->sides[side].count; k++)
                change_partner(p, seam, asked, seam->sides[side].edges[k]);
    }
}

/* ---- Judging it ---- */

/* Path data as the value of a patch, which stands where its edge does. */
static const YamlNode *data_node(Arena *arena, const LineChange *change)
{
    YamlNode *node = yaml_copy_shallow(arena, change->edge->key);
    node->plain = false;
    node->text = change->data;
    node->length = strlen(change->data);
    return node;
}

static bool read_again(Proposing *p, Text *why)
{
    ProposedLine *to = p->proposed;
    const RemedyGround *ground = p->ground;
    size_t count = ground->patch_count;
    Patch *patches = ARENA_NEW(&to->arena, Patch, count + to->count);
    Messages messages = {0};
    for (size_t i = 0; i < count; i++)
        patches[i] = ground->patches[i];
    for (size_t i = 0; i < to->count; i++) {
        const YamlNode *node = data_node(&to->arena, &to->changes[i]);
        patches[count++] = (Patch){to->changes[i].path, node, node};
    }
    to->style = style_from_tree(ground->file, ground->alternative, patches, count, &messages);
    for (size_t i = 0; !to->style && i < messages.count; i++)
        if (messages.items[i].level == MESSAGE_ERROR) {
            text_addf(why, "with the proposed line the style cannot be read: %s",
                      messages.items[i].text);
            break;
        }
    messages_free(&messages);
    return to->style != NULL;
}

static bool concerns(const ProposedLine *proposed, const Style *style, const Finding *finding)
{
    Subject about = finding->rule->about;
    if (about != SUBJECT_BEND && about != SUBJECT_EDGE)
        return false;
    const Record *record = style->lists[about].items[finding->record];
    const Record *edge = about == SUBJECT_BEND ? record->owner : record;
    edge = edge ? edge_drawn(style, edge) : NULL;
    for (size_t i = 0; edge && i < proposed->count; i++)
        if (strcmp(proposed->changes[i].edge->path, edge->path) == 0)
            return true;
    return false;
}

static void count_findings(const ProposedLine *proposed, const Judgement *judgement,
                           size_t tally[VERDICT_COUNT])
{
    for (size_t i = 0; i < judgement->count; i++)
        if (concerns(proposed, judgement->style, &judgement->findings[i]))
            tally[judgement->findings[i].verdict]++;
}

static bool judge_again(Proposing *p, Text *why)
{
    ProposedLine *to = p->proposed;
    const Judgement *before = p->ground->judgement;
    if (!read_again(p, why))
        return false;
    to->before = before;
    to->judgement = judge(to->style, before->rules, before->factory);
    to->comparison = compare_judgements(before, to->judgement);
    count_findings(to, before, to->was);
    count_findings(to, to->judgement, to->is);
    return true;
}

/* ---- All of it ---- */

static bool propose(Proposing *p, Text *why)
{
    const Record *place = p->wish->place;
    const Record *edge = place->subject == SUBJECT_BEND ? place->owner : place;
    const Record *drawn = edge && edge->subject == SUBJECT_EDGE ? edge_drawn(p->style, edge) : NULL;
    if (!drawn) {
        text_addf(why, "%s is no edge whose line is drawn", place->path);
        return false;
    }
    if (is_kept(p->style, drawn)) {
        text_addf(why, "the style keeps %s: no other line is proposed for it", drawn->path);
        return false;
    }
    if (!change_asked(p, drawn, why))
        return false;
    change_partners(p, drawn);
    return judge_again(p, why);
}

ProposedLine *proposed_line(const RemedyGround *ground, const LineWish *wish, Text *why)
{
    Proposing p = {.ground = ground,
                   .style = ground->judgement->style,
                   .wish = wish,
                   .share = NAN,
                   .proposed = memory_new(1, sizeof(ProposedLine))};
    if (propose(&p, why))
        return p.proposed;
    proposed_free(p.proposed);
    return NULL;
}

/* ---- The least radius that clears it ---- */

/* Rounded to what was asked for, and yet no pass. */
static bool is_open(const ProposedLine *proposed, const LineWish *wish, const Finding *finding)
{
    const Style *style = proposed->style;
    if (finding->rule->about != SUBJECT_BEND || !concerns(proposed, style, finding))
        return false;
    if (finding->verdict != VERDICT_FLAG && finding->verdict != VERDICT_TIGHT)
        return false;
    const Record *bend = style->lists[SUBJECT_BEND].items[finding->record];
    return wish->place->subject == SUBJECT_EDGE ||
           record_value(bend, BEND_RADIUS)->quantity.nominal <= 1.01 * wish->hollow;
}

static bool all_pass(const ProposedLine *proposed, const LineWish *wish)
{
    for (size_t i = 0; i < proposed->judgement->count; i++)
        if (is_open(proposed, wish, &proposed->judgement->findings[i]))
            return false;
    return true;
}

/* mm, of what is to be rounded; corners apart. */
static double least_radius(const Style *style, const Record *place)
{
    const RecordList *bends = &style->lists[SUBJECT_BEND];
    double least = INFINITY;
    for (size_t i = 0; i < bends->count; i++) {
        const Value *radius = record_value(bends->items[i], BEND_RADIUS);
        bool asked = bends->items[i] == place || bends->items[i]->owner == place;
        if (asked && radius->presence == VALUE_KNOWN && radius->quantity.nominal > 0)
            least = fmin(least, radius->quantity.nominal);
    }
    return least;
}

/* What was tried, in tenths of a mm: with `low` something stays open; `high` passes, or
 * cannot be drawn. */
typedef struct Search {
    const RemedyGround *ground;
    LineWish wish;
    ProposedLine *best;
    long low, high;
    Text *why;
} Search;

static void try_radius(Search *search, long tenths)
{
    search->wish.hollow = search->wish.rounded = (double)tenths / 10;
    text_clear(search->why);
    ProposedLine *proposed = proposed_line(search->ground, &search->wish, search->why);
    if (proposed && !all_pass(proposed, &search->wish)) {
        proposed_free(proposed);
        search->low = tenths;
        return;
    }
    search->high = tenths;
    if (!proposed)
        return;
    proposed_free(search->best);
    search->best = proposed;
}

ProposedLine *proposed_least(const RemedyGround *ground, const LineWish *wish, double *radius,
                             Text *why)
{
    double now = least_radius(ground->judgement->style, wish->place);
    if (!(now < BEND_RADIUS_MOST_MM)) {
        text_addf(why, "%s has no bend to be rounded; a corner needs a radius to be named",
                  wish->place->path);
        return NULL;
    }
    Search search = {ground, *wish, NULL, (long)floor(now * 10), LONG_MAX, why};
    while (search.high == LONG_MAX && (double)search.low < BEND_RADIUS_MOST_MM * 10)
        try_radius(&search, search.low + search.low / 4 + 1);
    while (search.high - search.low > 1 && search.high < LONG_MAX)
        try_radius(&search, search.low + (search.high - search.low) / 2);
    if (search.best) {
        *radius = (double)search.high / 10;
        text_clear(why);
    }
    return search.best;
}

void proposed_free(ProposedLine *proposed)
{
    if (!proposed)
        return;
    comparison_free(proposed->comparison);
    if (proposed->judgement)
        judgement_free(proposed->judgement);
    style_free(proposed->style);
    arena_free(&proposed->arena);
    free(proposed);
}
