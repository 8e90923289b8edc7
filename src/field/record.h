/* Records as read from a file: one per part, edge, machine, …, with a value per
 * field of the table. Shared by the style's and the factory's models. */
#ifndef CORDWAIN_FIELD_RECORD_H
#define CORDWAIN_FIELD_RECORD_H

#include "field/field.h"
#include "yaml/yaml_tree.h"

typedef enum Presence { VALUE_ABSENT, VALUE_UNKNOWN, VALUE_KNOWN } Presence;

typedef struct Record Record;

typedef struct Value {
    Presence presence;
    const YamlNode *node;   /* where it is written; NULL where absent */
    Quantity quantity;      /* FIELD_NUMBER, FIELD_RANGE */
    double code;            /* FIELD_WORD index, FIELD_TRUTH 0/1, FIELD_WORDS and FIELD_COUNTS sum of 2^i */
    const char *text;       /* FIELD_TEXT, FIELD_NAME as written */
    Record *record;         /* FIELD_NAME: what it names, once names are resolved */
    struct SizeValue *by_size; /* numbers that go by size ({36..40: 5, …}); else NULL */
    size_t by_size_count;
    const Where *drawn;     /* measured: where the line is drawn (then `node` is NULL); two values
                               with the same pointer are one measurement. NULL: typed */
    const char *note;       /* measured: how, such as "over 0.1 mm of line"; else NULL */
} Value;

typedef struct SizeValue {
    double from, to;        /* sizes, both included */
    Quantity quantity;
    const YamlNode *node;
} SizeValue;

struct Record {
    Subject subject;
    FieldId first;          /* of its subject: the field of values[0] */
    uint32_t index;         /* in its list */
    const char *id;         /* last component: "throat", "1" */
    const char *path;       /* "vamp.throat.1": what a place calls it */
    const YamlNode *node;   /* its mapping; a scalar `unknown` for a set that is not known */
    const YamlNode *key;    /* its key; NULL for list items */
    Record *owner;          /* bend -> edge -> part; row, spot -> seam; else NULL */
    bool placeholder;       /* stands for a set (bends, rows) that is not known: all values unknown */
    Value *values;          /* field_end(subject) - field_first(subject) of them */
};

typedef struct RecordList {
    Record **items;
    size_t count, capacity;
    Record **slots;         /* by path: open addressing, at most half full; a power of two */
    size_t slot_count;
} RecordList;

static inline Value *record_value(const Record *record, FieldId id) {
    return &record->values[id - record->first];
}

/* What the readers of a file have in common: reads the fields of `subject` that
 * `mapping` gives into `record`, by the table. `extra` lists further keys (and,
 * with dots, keys of nested mappings) that the caller reads itself. Unknown
 * keys, wrong types and units are errors at their place, with the nearest
 * known word; a bare "?" gets the advice to write unknown. FIELD_NAME values
 * keep their text; the caller resolves them. */
typedef struct Recall Recall; /* field/recall.h */
typedef struct ReadContext {
    Arena *arena;
    Messages *messages;
    const Unit *bare_length;  /* `lengths:` of the head, or NULL */
    Recall *recall;           /* of values read before under the same head, or NULL */
} ReadContext;

void record_read(const ReadContext *context, Record *record, const YamlNode *mapping,
                 const char *const *extra, size_t extra_count);
/* A new record with every value absent. */
Record *record_new(Arena *arena, RecordList *list, Subject subject, const char *id,
                   const char *path, const YamlNode *node, const YamlNode *key, Record *owner);
/* Takes a record that is in no list into this one, and numbers it. */
void record_add(Arena *arena, RecordList *list, Record *record);
/* By path; NULL if none. */
Record *record_find(const RecordList *list, const char *path);
/* Reads one value of a field from a node. False after an error message. */
bool value_read(const ReadContext *context, const Field *field, const YamlNode *node, Value *value);
/* The same for a quantity that is no field (an ease, a match mark): `label`
 * names it in messages, `accepts` is what to write. */
bool value_read_quantity(const ReadContext *context, const char *label, const char *accepts,
                         const QuantityForm *form, const YamlNode *node, Value *value);
/* Every value of the record unknown, as written at `node` (NULL: nowhere). */
void record_unknown(Record *record, const YamlNode *node);
/* Ids are letters, digits and "-", at most 63 of them; `unknown` and `removed`
 * are taken. False after a message. */
bool id_check(const ReadContext *context, const YamlNode *node);
/* The error for a key that is not known, with the nearest of `known`. */
void key_unknown(const ReadContext *context, const YamlNode *key, const char *const *known,
                 size_t count);
/* A mapping, or an error that says so. `label` names it. */
bool mapping_check(const ReadContext *context, const YamlNode *node, const char *label);
/* A scalar that holds something: then scalar_check() has nothing to say. */
bool scalar_holds(const YamlNode *node);
/* A scalar that holds something, or an error with what is accepted. */
bool scalar_check(const ReadContext *context, const YamlNode *node, const char *label,
                  const char *accepts);

/* Checks that the first key is `cordwain: KIND/1` and takes the head's
 * `lengths:` into the context. False after a message. */
bool file_head(ReadContext *context, const YamlFile *file, const char *kind);

#endif
