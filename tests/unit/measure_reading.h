/* Reading a style into columns and asking them by name. For the tests of
 * src/measure. */
#ifndef CORDWAIN_TESTS_MEASURE_READING_H
#define CORDWAIN_TESTS_MEASURE_READING_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "measure/measure.h"

typedef struct Reading {
    Messages messages;
    Style *style;
    Factory *factory;
    Columns *columns;
} Reading;

static const HouseValues house_values = {.leather_thickness = 0.2,
                                         .sheet_thickness = 0.1,
                                         .skive = 0.1,
                                         .line = 0.3,
                                         .row = 0.3,
                                         .gap_together = 0.1,
                                         .gap_apart = 0.3,
                                         .girth_step = 5};

static inline Reading reading_of(const char *path, const char *alternative, const char *factory)
{
    Reading reading = {0};
    reading.style = style_read(path, alternative, NULL, 0, &reading.messages);
    if (factory)
        reading.factory = factory_read(factory, &reading.messages);
    if (!reading.style || (factory && !reading.factory)) {
        messages_write(&reading.messages, stderr);
        fail_msg("%s cannot be read", path);
    }
    reading.columns = measure_style(reading.style, reading.factory, &house_values);
    return reading;
}

static inline void reading_free(Reading *reading)
{
    columns_free(reading->columns);
    style_free(reading->style);
    if (reading->factory)
        factory_free(reading->factory);
    messages_free(&reading->messages);
}

/* Style, last and bottom are the only ones of their kind whatever they are called. */
static inline int32_t place(const Reading *reading, Subject subject, const char *name)
{
    if (subject == SUBJECT_STYLE || subject == SUBJECT_LAST || subject == SUBJECT_BOTTOM)
        return reading->columns->count[subject] ? 0 : -1;
    for (uint32_t i = 0; i < reading->columns->count[subject]; i++)
        if (strcmp(reading->columns->names[subject][i], name) == 0)
            return (int32_t)i;
    fail_msg("no %s called %s", subject_name(subject), name);
    return -1;
}

enum { LO = -1, NOMINAL = 0, HI = 1 };

static inline double cell_side(const Reading *reading, FieldId id, const char *name, uint32_t lane,
                               int side)
{
    const Column *column = &reading->columns->fields[id];
    int32_t record = place(reading, field_at(id)->subject, name);
    size_t cell = column_cell(column, (uint32_t)record, lane);
    return side == LO ? column->lo[cell] : side == HI ? column->hi[cell] : column->nominal[cell];
}

static inline double cell(const Reading *reading, FieldId id, const char *name)
{
    return cell_side(reading, id, name, 0, NOMINAL);
}

static inline const Origin *origin(const Reading *reading, FieldId id, const char *name)
{
    return reading->columns->fields[id].origins[place(reading, field_at(id)->subject, name)];
}

static inline void assert_near(double got, double expected)
{
    if (!(fabs(got - expected) <= 1e-9))
        fail_msg("got %.12g, expected %.12g", got, expected);
}

static inline void assert_span(const Reading *reading, FieldId id, const char *name, uint32_t lane,
                               double lo, double nominal, double hi)
{
    assert_near(cell_side(reading, id, name, lane, LO), lo);
    assert_near(cell_side(reading, id, name, lane, NOMINAL), nominal);
    assert_near(cell_side(reading, id, name, lane, HI), hi);
}

static inline const char *word(const Reading *reading, FieldId id, const char *name)
{
    double code = cell(reading, id, name);
    return isnan(code) ? "unknown" : field_at(id)->words->words[(size_t)code];
}

static inline const ManyColumn *set(const Reading *reading, Subject from, const char *relation)
{
    const Relation *found = relation_find(from, relation, strlen(relation));
    assert_non_null(found);
    return &reading->columns->manys[relation_index(found)];
}

/* The names of a set joined by blanks; "unknown" where it is not known. */
static inline const char *members(const Reading *reading, Subject from, const char *relation,
                                  const char *name, char *text, size_t size)
{
    const ManyColumn *many = set(reading, from, relation);
    Subject to = relation_find(from, relation, strlen(relation))->to;
    int32_t record = place(reading, from, name);
    if (many->unknown[record])
        return "unknown";
    text[0] = '\0';
    for (uint32_t i = many->start[record]; i < many->start[record + 1]; i++)
        snprintf(text + strlen(text), size - strlen(text), "%s%s", text[0] ? " " : "",
                 reading->columns->names[to][many->items[i]]);
    return text;
}

#endif
