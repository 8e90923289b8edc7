/* The lane of a finding that is shown, by what each has to spare. For src/judge only. */
#include <math.h>

#include "judge/inside.h"

static double lane_relative(const Columns *columns, const Answer *answer, const Finding *finding,
                            uint32_t way)
{
    if (!answer->result->relative)
        return later_lane_spare(columns, finding, way).relative;
    size_t row = answer->row ? answer->row[finding->record] : finding->record;
    size_t index = row * answer->lanes + answer->which[finding->alike[way]];
    bool applies = answer->result->when_true[index / 64] >> index % 64 & 1;
    bool none = finding->ways[way] == VERDICT_TIGHT && !applies;
    return none ? NAN : answer->result->relative[index];
}

/* The first lane of the base size; 0 where none is of it. */
static uint32_t base_lane(const Columns *columns)
{
    uint32_t lane = 0;
    while (lane < columns->lane_count && !columns->lanes[lane].base)
        lane++;
    return lane < columns->lane_count ? lane : 0;
}

/* Of the lanes with the finding's verdict the one with the least to spare, and
 * the base size where others have no less. */
void worst_find(const Judgement *judgement, const Answer *answer, Finding *finding)
{
    const Columns *columns = judgement->columns;
    uint32_t ways = columns->lane_count, count = judgement->lane_count;
    uint32_t base = base_lane(columns), worst = ways;
    bool spares = later_has_spare(finding->verdict);
    finding->relative = NAN;
    for (uint32_t step = 0; step < ways; step++) {
        uint32_t way = base + step < ways ? base + step : base + step - ways;
        if (finding->lanes[way < count ? way : way - count] != finding->verdict)
            continue;
        if (worst == ways)
            worst = way;
        if (!spares)
            break;
        bool counts = way == base || finding->alike[way] == way;
        if (!counts || finding->ways[way] != finding->verdict)
            continue;
        double relative = lane_relative(columns, answer, finding, way);
        if (isnan(finding->relative) || relative < finding->relative) {
            finding->relative = relative;
            worst = way;
        }
    }
    finding->worst_way = worst % ways;
}
