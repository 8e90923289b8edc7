/* The files that a judgement rests on, each with its SHA-256: for the report, and for whoever
 * must not write over one of them. */
#ifndef CORDWAIN_REPORT_INPUTS_H
#define CORDWAIN_REPORT_INPUTS_H

#include "log/valid.h"

typedef enum InputRole {
    INPUT_STYLE,
    INPUT_DRAWING,
    INPUT_FACTORY,
    INPUT_LOG,
    INPUT_RULES,
    INPUT_ROLE_COUNT
} InputRole;

typedef struct Input {
    InputRole role;
    const char *path; /* as it was read; "-": standard input */
    const char *sum;  /* 64 hexadecimal digits; of the text that was judged, and of a drawing or a
                         log as it is now; NULL: it cannot be read any more */
} Input;

typedef struct Inputs {
    const Input *items; /* by role, then as they were read */
    size_t count;
} Inputs;

const char *input_role_name(InputRole role); /* "style", "rule file" */
/* `log` may be NULL. Owned by the arena, as are the paths. */
Inputs inputs_of(Arena *arena, const Judgement *judgement, const Log *log);
/* One sum over the rule files: of the lines "SUM  PATH". NULL: there are none. */
const char *inputs_rules_sum(Arena *arena, const Inputs *inputs);
/* The input that is the same file as `path`, under whatever name; NULL: none. */
const Input *inputs_same_file(const Inputs *inputs, const char *path);

#endif
