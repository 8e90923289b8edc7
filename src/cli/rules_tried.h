/* What `cordwain rules` tells of rules over styles and over random values. For src/cli/rules.c. */
#ifndef CORDWAIN_CLI_RULES_TRIED_H
#define CORDWAIN_CLI_RULES_TRIED_H

#include "cli/cli.h"
#include "judge/trial.h"

/* Over each style as written and in each of its alternatives, with the rules and the factory of
 * `loaded`. False with messages where a style is refused. */
bool rules_tried_over(Text *out, const Case *loaded, const NameList *styles, int columns,
                      Messages *messages);
void rules_tried_at_random(Text *out, const RuleSet *rules, int columns);

#endif
