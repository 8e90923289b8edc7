/* Remedies in words. For whoever shows them. */
#include <math.h>

#include "remedy/remedy.h"

const char *giver_say(Giver giver, bool asks_line)
{
    switch (giver) {
    case GIVER_LINE:
        return "asks the designer: the line changes";
    case GIVER_PATTERN:
        return asks_line ? "the developer can do this, but it shows: ask the designer"
                         : "the developer can do this alone: the pattern changes";
    case GIVER_MATERIAL:
        return "asks designer and developer: the material changes";
    case GIVER_MAKING:
        return asks_line ? "the developer can do this, but it shows: ask the designer"
                         : "the developer can do this alone: the making changes";
    case GIVER_MACHINE:
        return "asks the factory: the machine changes";
    default:
        return "nobody's to change";
    }
}

static void say_change(Text *text, const RemedyChange *change)
{
    text_addf(text, "%s %s -> %s", change->name, change->from[0] ? change->from : "not written",
              change->to);
    if (change->redraw)
        text_add(text, ", redrawn");
    text_addf(text, " (%s%s)", giver_name(change->giver), change->asks_line ? ", shows" : "");
}

static void say_aim(Text *text, const Remedy *remedy)
{
    if (remedy->aim == REMEDY_PASS)
        text_add(text, ": pass");
    else if (isnan(remedy->risk))
        text_add(text, ": holds as written, within assumed tolerances it can fail");
    else if (remedy->risk > 0) {
        text_add(text, ": tight, fails in ");
        text_add_number(text, 100 * remedy->risk, 2);
        text_add(text, " %");
    } else {
        text_add(text, ": tight, fails hardly ever");
    }
}

void remedy_say(Text *text, const Remedy *remedy)
{
    for (size_t i = 0; i < remedy->change_count; i++) {
        text_add(text, i ? " and " : "");
        say_change(text, &remedy->changes[i]);
    }
    say_aim(text, remedy);
    if (remedy->clear_count > 0)
        text_addf(text, "; clears %zu", remedy->clear_count);
    if (remedy->raise_count > 0)
        text_addf(text, "; raises %zu", remedy->raise_count);
}
