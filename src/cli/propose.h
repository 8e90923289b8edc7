/* A rounder line for a drawn edge, as draw's options ask for it. For draw.c. */
#ifndef CORDWAIN_CLI_PROPOSE_H
#define CORDWAIN_CLI_PROPOSE_H

#include "cli/cli.h"
#include "remedy/line.h"

/* Are --propose and --within lengths? False after a message. */
bool propose_options(const Options *options);
/* For an edge or a bend of the judged case; the radius taken, mm. NULL after a message. */
ProposedLine *propose(const Options *options, const Case *loaded, const Record *place,
                      double *radius);

#endif
