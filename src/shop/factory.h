/* A factory: machines, limits it replaces, rules it does not judge, rules of
 * its own. Knows base, quantity, yaml and field. The limits and rules are
 * handed on as nodes: src/rule reads them, because their form is the rules'. */
#ifndef CORDWAIN_SHOP_FACTORY_H
#define CORDWAIN_SHOP_FACTORY_H

#include "field/record.h"

typedef struct NotJudged {
    const char *rule, *reason;
    const YamlNode *node;
} NotJudged;

typedef struct Factory {
    Arena arena;               /* owns everything, the file's tree too */
    YamlFile *file;
    const char *name;
    RecordList machines;
    Record *record;            /* SUBJECT_FACTORY */
    const YamlNode *limits;    /* mapping of replaced limits, or NULL */
    const YamlNode *rules;     /* mapping of local rules, or NULL */
    const YamlNode *local_limits, *tables, *constants; /* `own_limits:` and the rest that local rules need, or NULL */
    NotJudged *not_judged;
    size_t not_judged_count;
} Factory;

Factory *factory_read(const char *path, Messages *messages);
void factory_free(Factory *factory);

#endif
