/* Rules, limits, constants and tables: read from rule files, with what a
 * factory replaces. Knows base, quantity, yaml, field and shop; not style. */
#ifndef CORDWAIN_RULE_RULE_H
#define CORDWAIN_RULE_RULE_H

#include "rule/formula.h"
#include "shop/factory.h"
#include "yaml/yaml_tree.h"

typedef enum Basis { BASIS_PUBLISHED, BASIS_MEASURED, BASIS_PRACTICE, BASIS_MEMORY } Basis;
/* "published", …, strongest first; the weakest of several is the greatest. */
const char *basis_name(Basis basis);

typedef enum RuleClass { CLASS_CRITICAL, CLASS_MAJOR, CLASS_MINOR } RuleClass;
const char *class_name(RuleClass class);

/* One value of a limit and who set it. */
typedef struct LimitValue {
    Quantity quantity;
    bool given;             /* false: this word has no row; `otherwise` holds */
    Where at;
    Basis basis;
    const char *source, *reason;    /* reason: of a factory; else NULL */
    const char *set_by;             /* "base rules" or the factory's name */
    struct LimitValue *beaten;      /* what it replaced, or NULL */
} LimitValue;

typedef enum Stricter { STRICTER_NEITHER, STRICTER_HIGHER, STRICTER_LOWER } Stricter;

struct Limit {
    const char *name, *means;
    Type type;
    const Unit *unit;       /* shown in */
    FieldId by;             /* FIELD_ID_COUNT: one value, in `otherwise` */
    LimitValue *values;     /* one a word of field_at(by)->words (false, true for truths) */
    LimitValue otherwise;   /* `else`; given false: a word without row is unknown */
    FieldId own;            /* a field of the same meaning that wins where a record gives it; or FIELD_ID_COUNT */
    Stricter stricter;      /* by its ending: _least, _most */
    bool fixed, used, read_by_critical;
    Where at;
};
/* The value that holds for a word index (NaN: unknown); NULL if unknown. */
const LimitValue *limit_value(const Limit *limit, double word);

typedef enum Between { BETWEEN_LINEAR, BETWEEN_BELOW, BETWEEN_ABOVE } Between;
struct RuleTable {
    const char *name;
    Type in, out;
    const Unit *in_unit, *out_unit;
    Between between;
    double *inputs, *outputs;  /* base units, inputs ascending */
    size_t count;
    Basis basis;
    const char *source;
    Where at;
};
/* Beyond the rows: NaN. */
double table_value(const RuleTable *table, double input);

typedef struct Let {
    const char *name;
    Formula *formula;       /* FORMULA_LET */
    const char *text;
} Let;

/* A piece of `say`: text, or a name whose value stands there. */
typedef struct SayPiece {
    const char *text;       /* NULL for a name */
    const char *name;       /* as written: "ply.material" */
    Formula *formula;       /* a number, truth or word; or NULL: then the record's name */
    RecordPath record;
} SayPiece;

typedef struct Give {
    const char *text;       /* "radius", "edge.left", "ply.material.thickness" */
    RecordPath record;      /* may start at an over's binding: the one that decided */
    FieldId field;
} Give;

typedef struct Example {
    const YamlNode *node;
    const YamlNode *given;
    int expect;             /* Verdict of judge/verdict.h */
} Example;

typedef struct Rule {
    const char *id, *title, *because, *source;
    const char *when_text, *require_text;
    Subject about;
    RuleClass class;
    Formula *when, *require; /* when NULL: always */
    Let *lets;
    size_t let_count;
    SayPiece *say;
    size_t say_count;
    Give *gives;
    size_t give_count;
    Example *examples;
    size_t example_count;
    size_t formula_nodes;    /* of lets, when, require; bounded while reading */
    int binding_count;
    Subject bound[BINDINGS_MOST];       /* what each binding is */
    const char *bound_name[BINDINGS_MOST];
    const Limit **limits;               /* every limit it can read, once each */
    size_t limit_count;
    const RuleTable **tables;
    size_t table_count;
    bool danger;
    bool has_sets;           /* an over that is not under `some` */
    const char *off_reason;  /* not NULL: off, by the file at off_at */
    Where off_at;
    Where at;
    const YamlNode *node;
} Rule;

typedef struct RuleSet {
    Arena arena;
    Messages *messages;
    YamlFile **files;
    size_t file_count;
    Limit **limits;
    size_t limit_count, limit_capacity;
    RuleTable **tables;
    size_t table_count, table_capacity;
    struct RuleConstant *constants;
    size_t constant_count, constant_capacity;
    Rule **rules;            /* sorted by id */
    size_t rule_count, rule_capacity;
} RuleSet;

/* Reads rule files and, with a factory, its replaced limits, switched-off and
 * local rules; checks units, types, names, sources, gives. NULL with messages
 * if anything was wrong. Examples are read but not run (judge runs them). */
RuleSet *rules_read(const char *const *paths, size_t count, const Factory *factory,
                    Messages *messages);
void rules_free(RuleSet *set);
Rule *rules_find(const RuleSet *set, const char *id);
Limit *rules_limit(const RuleSet *set, const char *name);

/* The *.yaml files of a folder, sorted by name; false with a message. */
bool rules_in_folder(Arena *arena, const char *folder, const char *const **paths,
                     size_t *count, Messages *messages);

/* For the tests of the language: parses `text` as the formula of a rule about
 * `about` within the set. NULL with messages. `rule` collects bindings. */
Formula *formula_read(RuleSet *set, Rule *rule, const YamlNode *node, Messages *messages);
/* Adds the formula as it would be written; read again it is the same tree. */
void formula_write(Text *text, const Rule *rule, const Formula *formula);

/* The binding path with its relations, "edge.ply.material"; for messages. */
void record_path_write(Text *text, const Rule *rule, const RecordPath *path);

#endif
