/* The sheets that parts lie on. For the style's reader. */
#include <math.h>
#include <string.h>

#include "style/style_inside.h"

static const double quarter_turn = 3.14159265358979323846 / 2;

/* An angle is given as on the page, whose y points down; ours points up. */
static bool read_axis(const YamlNode *node, double *along)
{
    if (node->kind != YAML_SCALAR)
        return false;
    bool is_x = strcmp(node->text, "x") == 0;
    *along = is_x ? 0 : quarter_turn;
    if (is_x || strcmp(node->text, "y") == 0)
        return true;
    QuantityForm form = {.shown = unit_find("deg", 3)};
    Quantity angle;
    Text problem = {0};
    bool good = quantity_read(node->text, node->length, &form, &angle, &problem);
    text_free(&problem);
    *along = -angle.nominal;
    return good && !angle.unknown;
}

bool style_is_axis(const YamlNode *node)
{
    double along;
    return read_axis(node, &along);
}

static void read_sheet(StyleReader *reader, Sheet *sheet)
{
    static const char *const known[] = {"along"};
    const YamlNode *node = sheet->node;
    const char *label = arena_printf(reader->context.arena, "sheet %s", sheet->name);
    if (yaml_is_word(node, "unknown") || !mapping_check(&reader->context, node, label))
        return;
    for (size_t i = 0; i < node->count; i++) {
        const YamlNode *along = node->items[i];
        if (strcmp(node->keys[i]->text, known[0]) != 0) {
            key_unknown(&reader->context, node->keys[i], known, 1);
            continue;
        }
        sheet->along_known = read_axis(along, &sheet->along);
        if (!sheet->along_known && !yaml_is_word(along, "unknown"))
            style_error(reader, along,
                        "along is the way from heel to toe: x, y or an angle such as 17 deg");
    }
}

const Sheet *style_sheet(const Style *style, const Record *part)
{
    const Value *name = record_value(part, PART_SHEET);
    for (size_t i = 0; name->presence == VALUE_KNOWN && i < style->sheet_count; i++)
        if (strcmp(style->sheets[i].name, name->text) == 0)
            return &style->sheets[i];
    return NULL;
}

/* Which sheets parts name must be there. */
static void check_part_sheet(StyleReader *reader, const Record *part, const char *const *names)
{
    const Style *style = reader->style;
    const Value *sheet = record_value(part, PART_SHEET);
    if (sheet->presence != VALUE_KNOWN || style_sheet(style, part))
        return;
    Text hint = {0};
    if (!style_full(reader, sheet->node))
        add_known_names(&hint, sheet->text, names, style->sheet_count);
    style_error(reader, sheet->node, "there is no sheet %s%s", quoted(sheet->text).text,
                text_string(&hint));
    text_free(&hint);
}

void style_read_sheets(StyleReader *reader)
{
    Style *style = reader->style;
    const YamlNode *sheets = style_section(reader, "sheets");
    size_t count = sheets ? sheets->count : 0;
    const char **names = ARENA_NEW(reader->context.arena, const char *, count);
    style->sheets = ARENA_NEW(reader->context.arena, Sheet, count);
    style->sheet_count = count;
    for (size_t i = 0; i < count; i++) {
        Sheet *sheet = &style->sheets[i];
        *sheet = (Sheet){.name = sheets->keys[i]->text, .node = sheets->items[i]};
        names[i] = sheet->name;
        id_check(&reader->context, sheets->keys[i]);
        read_sheet(reader, sheet);
    }
    const RecordList *parts = &style->lists[SUBJECT_PART];
    for (size_t i = 0; i < parts->count; i++)
        check_part_sheet(reader, parts->items[i], names);
}
