/* Arithmetic and logic over a block of 64 lanes, in loops that the compiler
 * turns into vector code. For src/rule/code*.c only. */
#include "rule/kernel.h"

#include <float.h>
#include <math.h>
#include <string.h>

#include "rule/interval.h"

/* Two builds of a kernel, chosen once at start by what the machine can do.
 * clang 14 has no target_clones and builds the plain one alone. */
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define KERNEL __attribute__((target_clones("avx2", "default")))
#else
#define KERNEL
#endif
#define INLINE static inline __attribute__((always_inline))
#define EACH_LANE(i) for (int i = 0; i < KERNEL_LANES; i++)

/* Bit i for lane i: `word |= holds ? lane_bit[i] : 0` packs a test of all lanes
 * without leaving the vector registers. */
#define BITS_4(i) 1ull << (i), 2ull << (i), 4ull << (i), 8ull << (i)
#define BITS_16(i) BITS_4(i), BITS_4((i) + 4), BITS_4((i) + 8), BITS_4((i) + 12)
static const uint64_t lane_bit[KERNEL_LANES] = {BITS_16(0), BITS_16(16), BITS_16(32), BITS_16(48)};

INLINE const double *lo_of(const Numbers *a)
{
    return a->wide ? a->lo : a->nominal;
}

INLINE const double *hi_of(const Numbers *a)
{
    return a->wide ? a->hi : a->nominal;
}

INLINE uint64_t bits_of(double value)
{
    uint64_t bits;
    memcpy(&bits, &value, sizeof bits);
    return bits;
}

INLINE double of_bits(uint64_t bits)
{
    double value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

/* A number that is not finite is unknown. */
INLINE double known(double value)
{
    return fabs(value) <= DBL_MAX ? value : NAN;
}

INLINE double lesser(double a, double b)
{
    return a < b ? a : b;
}

INLINE double greater(double a, double b)
{
    return a > b ? a : b;
}

/* The next double towards positive infinity, as nextafter() for numbers other
 * than 0 and infinity; 0 stays. What comes of infinities is not finite, or
 * belongs to an interval whose other end is not. */
INLINE double up(double value)
{
    uint64_t bits = bits_of(value);
    double next = of_bits(bits + 1 - 2 * (bits >> 63));
    return value == 0 ? 0 : next;
}

INLINE double down(double value)
{
    return 0 - up(0 - value);
}

/* One lane, where the operands may settle it: unknown, doubtful or exact, else
 * `raw`. `doubt` and `never` are reasons of the operation itself. */
INLINE PlainNumber settle(PlainNumber raw, PlainNumber a, PlainNumber b, bool doubt, bool never)
{
    double nominal = known(raw.nominal);
    bool exact = (a.lo == a.hi) & (b.lo == b.hi);
    bool doubtful = (a.lo == -INFINITY) | (b.lo == -INFINITY);
    bool unknown = (a.lo != a.lo) | (b.lo != b.lo) | (never & !exact & !doubtful);
    bool open = doubtful | doubt | (nominal != nominal) | !(fabs(raw.lo) <= DBL_MAX) |
                !(fabs(raw.hi) <= DBL_MAX);
    double lo = open ? -INFINITY : raw.lo, hi = open ? INFINITY : raw.hi;
    lo = exact ? nominal : lo;
    hi = exact ? nominal : hi;
    return (PlainNumber){unknown ? NAN : nominal, unknown ? NAN : lo, unknown ? NAN : hi};
}

INLINE PlainNumber outward(PlainNumber raw)
{
    return (PlainNumber){raw.nominal, down(raw.lo), up(raw.hi)};
}

INLINE PlainNumber hull_of_four(double nominal, double p, double q, double r, double s)
{
    return outward((PlainNumber){nominal, lesser(lesser(p, q), lesser(r, s)),
                                 greater(greater(p, q), greater(r, s))});
}

INLINE PlainNumber lane_add(PlainNumber a, PlainNumber b)
{
    PlainNumber raw = {a.nominal + b.nominal, a.lo + b.lo, a.hi + b.hi};
    return settle(outward(raw), a, b, false, false);
}

INLINE PlainNumber lane_negate(PlainNumber a)
{
    return (PlainNumber){0 - a.nominal, 0 - a.hi, 0 - a.lo};
}

INLINE PlainNumber lane_subtract(PlainNumber a, PlainNumber b)
{
    return lane_add(a, lane_negate(b));
}

INLINE PlainNumber lane_multiply(PlainNumber a, PlainNumber b)
{
    PlainNumber raw =
        hull_of_four(a.nominal * b.nominal, a.lo * b.lo, a.lo * b.hi, a.hi * b.lo, a.hi * b.hi);
    return settle(raw, a, b, false, false);
}

INLINE PlainNumber lane_divide(PlainNumber a, PlainNumber b)
{
    PlainNumber raw =
        hull_of_four(a.nominal / b.nominal, a.lo / b.lo, a.lo / b.hi, a.hi / b.lo, a.hi / b.hi);
    bool zero = (b.lo == 0) & (b.hi == 0), spans = (b.lo <= 0) & (b.hi >= 0);
    return settle(raw, a, b, spans, zero);
}

INLINE PlainNumber lane_max(PlainNumber a, PlainNumber b)
{
    bool unknown = (a.nominal != a.nominal) | (b.nominal != b.nominal);
    double nominal = a.nominal >= b.nominal ? a.nominal : b.nominal;
    PlainNumber raw = {unknown ? NAN : nominal, greater(a.lo, b.lo), greater(a.hi, b.hi)};
    return settle(raw, a, b, false, false);
}

INLINE PlainNumber lane_min(PlainNumber a, PlainNumber b)
{
    return lane_negate(lane_max(lane_negate(a), lane_negate(b)));
}

INLINE PlainNumber lane_abs(PlainNumber a)
{
    double p = fabs(a.lo), q = fabs(a.hi);
    bool spans = (a.lo <= 0) & (a.hi >= 0);
    PlainNumber raw = {fabs(a.nominal), spans ? 0 : lesser(p, q), greater(p, q)};
    return settle(raw, a, a, false, false);
}

INLINE PlainNumber lane_root(PlainNumber a)
{
    PlainNumber raw = {sqrt(a.nominal), sqrt(greater(a.lo, 0)), sqrt(greater(a.hi, 0))};
    return settle(outward(raw), a, a, a.lo < 0, a.hi < 0);
}

INLINE PlainNumber lane_at(const double *nominal, const double *lo, const double *hi, int i)
{
    return (PlainNumber){nominal[i], lo[i], hi[i]};
}

/* A kernel over two operands: exact lanes alone need the nominal value only. */
#define KERNEL_OF_TWO(linkage, name, lane, exactly)                                                \
    KERNEL linkage void name(Numbers *restrict to, const Numbers *restrict a,                      \
                             const Numbers *restrict b)                                            \
    {                                                                                              \
        to->wide = a->wide || b->wide;                                                             \
        if (!to->wide) {                                                                           \
            EACH_LANE(i)                                                                           \
            {                                                                                      \
                double x = a->nominal[i], y = b->nominal[i];                                       \
                to->nominal[i] = exactly;                                                          \
            }                                                                                      \
            return;                                                                                \
        }                                                                                          \
        const double *al = lo_of(a), *ah = hi_of(a), *bl = lo_of(b), *bh = hi_of(b);               \
        EACH_LANE(i)                                                                               \
        {                                                                                          \
            PlainNumber r = lane(lane_at(a->nominal, al, ah, i), lane_at(b->nominal, bl, bh, i));  \
            to->nominal[i] = r.nominal;                                                            \
            to->lo[i] = r.lo;                                                                      \
            to->hi[i] = r.hi;                                                                      \
        }                                                                                          \
    }

#define KERNEL_OF_ONE(linkage, name, lane, exactly)                                                \
    KERNEL linkage void name(Numbers *restrict to, const Numbers *restrict a)                      \
    {                                                                                              \
        to->wide = a->wide;                                                                        \
        if (!to->wide) {                                                                           \
            EACH_LANE(i)                                                                           \
            {                                                                                      \
                double x = a->nominal[i];                                                          \
                to->nominal[i] = exactly;                                                          \
            }                                                                                      \
            return;                                                                                \
        }                                                                                          \
        EACH_LANE(i)                                                                               \
        {                                                                                          \
            PlainNumber r = lane(lane_at(a->nominal, a->lo, a->hi, i));                            \
            to->nominal[i] = r.nominal;                                                            \
            to->lo[i] = r.lo;                                                                      \
            to->hi[i] = r.hi;                                                                      \
        }                                                                                          \
    }

KERNEL_OF_TWO(, kernel_add, lane_add, known(x + y))
KERNEL_OF_TWO(, kernel_subtract, lane_subtract, known(x + (0 - y)))
KERNEL_OF_TWO(, kernel_multiply, lane_multiply, known((x) * (y)))
KERNEL_OF_TWO(, kernel_divide, lane_divide, known(x / y))
KERNEL_OF_ONE(, kernel_negate, lane_negate, 0 - x)
KERNEL_OF_TWO(static, pick_max, lane_max, x != x ? x : x >= y ? x : y)
KERNEL_OF_TWO(static, pick_min, lane_min, x != x ? x : y >= x ? x + 0.0 : y + 0.0)
KERNEL_OF_ONE(static, pick_abs, lane_abs, fabs(x))
KERNEL_OF_ONE(static, pick_root, lane_root, sqrt(x))

static void set_lane(Numbers *to, int i, PlainNumber number)
{
    to->nominal[i] = number.nominal;
    to->lo[i] = number.lo;
    to->hi[i] = number.hi;
    to->wide |= number.lo < number.hi;
}

static PlainNumber lane_of(const Numbers *a, int i)
{
    return (PlainNumber){a->nominal[i], lo_of(a)[i], hi_of(a)[i]};
}

KERNEL void kernel_records_set(Records *to)
{
    int32_t differs = 0;
    EACH_LANE(i)
    {
        differs |= to->index[i] ^ to->index[0];
    }
    to->one = differs == 0;
}

KERNEL static void fill_records(Records *to, int32_t record)
{
    to->one = true;
    EACH_LANE(i)
    {
        to->index[i] = record;
    }
}

void kernel_follow(Records *to, const Records *from, const OneColumn *one, const Cells *cells)
{
    to->in_order = false;
    if (from->one && one->stride == 1) {
        fill_records(to, column_one(one, from->index[0], 0));
        return;
    }
    EACH_LANE(i)
    {
        to->index[i] = column_one(one, from->index[i], cells->lane[i]);
    }
    kernel_records_set(to);
}

KERNEL static void fill(double *to, double number)
{
    EACH_LANE(i)
    {
        to[i] = number;
    }
}

void kernel_literal(Numbers *to, double number)
{
    to->wide = false;
    fill(to->nominal, known(number));
}

/* One of a column's three rows of cells; NaN for no record. */
static void read_row(double *restrict to, const double *restrict row, const Column *column,
                     const Records *records, const Cells *cells)
{
    const int32_t *index = records->index;
    if (records->in_order && column->stride == cells->lane_count) {
        memcpy(to, row + cells->first, KERNEL_LANES * sizeof *to);
    } else if (records->one && (column->stride == 1 || index[0] < 0)) {
        fill(to, index[0] < 0 ? NAN : row[index[0]]);
    } else if (records->one) {
        const double *lanes = row + (size_t)index[0] * column->stride;
        EACH_LANE(i)
        {
            to[i] = lanes[cells->lane[i]];
        }
    } else if (column->stride == 1) {
        EACH_LANE(i)
        {
            to[i] = index[i] < 0 ? NAN : row[index[i]];
        }
    } else {
        EACH_LANE(i)
        {
            to[i] =
                index[i] < 0 ? NAN : row[column_cell(column, (uint32_t)index[i], cells->lane[i])];
        }
    }
}

/* Of numbers as they stand in a column: an unknown one has no bounds, and no
 * width means exact. */
KERNEL static void settle_bounds(Numbers *to)
{
    uint64_t wide = 0;
    EACH_LANE(i)
    {
        double nominal = to->nominal[i], lo = to->lo[i], hi = to->hi[i];
        bool sharp = (nominal != nominal) | (hi - lo == 0);
        to->lo[i] = sharp ? nominal : lo;
        to->hi[i] = sharp ? nominal : hi;
        wide |= sharp ? 0 : lane_bit[i];
    }
    to->wide = wide != 0;
}

void kernel_read(Numbers *to, const Column *column, const Records *records, const Cells *cells,
                 bool exact)
{
    to->wide = false;
    read_row(to->nominal, column->nominal, column, records, cells);
    if (exact) {
        return;
    }
    read_row(to->lo, column->lo, column, records, cells);
    read_row(to->hi, column->hi, column, records, cells);
    settle_bounds(to);
}

/* Words as rows of a limit's values; -1 for unknown. */
KERNEL static void words_to_rows(int32_t *restrict row, const double *restrict words)
{
    EACH_LANE(i)
    {
        row[i] = words[i] >= 0 ? (int32_t)words[i] : -1;
    }
}

void kernel_limit(Numbers *to, const Column *values, const Numbers *words, bool exact)
{
    static const Cells cells = {.lane_count = 1};
    Records rows;
    rows.in_order = false;
    words_to_rows(rows.index, words->nominal);
    kernel_records_set(&rows);
    kernel_read(to, values, &rows, &cells, exact);
}

void kernel_quantity(Numbers *to, const Column *values)
{
    static const Cells cells = {.lane_count = 1};
    static const Records first = {.one = true};
    kernel_read(to, values, &first, &cells, false);
}

void kernel_read_end(Numbers *to, const Column *column, const Records *records, const Cells *cells,
                     bool most)
{
    to->wide = false;
    read_row(to->nominal, most ? column->hi : column->lo, column, records, cells);
    EACH_LANE(i)
    {
        to->nominal[i] = known(to->nominal[i]);
    }
}

void kernel_own(Numbers *to, const Column *column, const Records *records, const Cells *cells,
                bool exact, const Numbers *other)
{
    Numbers own;
    if (records->one) {
        int32_t record = records->index[0];
        if (record < 0 || column->origins[record]->kind != ORIGIN_MISSING)
            kernel_read(to, column, records, cells, exact);
        else
            *to = *other;
        return;
    }
    kernel_read(&own, column, records, cells, exact);
    to->wide = false;
    EACH_LANE(i)
    {
        int32_t record = records->index[i];
        bool given = record < 0 || column->origins[record]->kind != ORIGIN_MISSING;
        set_lane(to, i, lane_of(given ? &own : other, i));
    }
}

/* Whether a lane is as the one before: most lanes of one place are, and what is
 * slow to work out need not be worked out again. */
static bool as_before(const Numbers *a, int i)
{
    return i > 0 && bits_of(a->nominal[i]) == bits_of(a->nominal[i - 1]) &&
           (!a->wide || (bits_of(a->lo[i]) == bits_of(a->lo[i - 1]) &&
                         bits_of(a->hi[i]) == bits_of(a->hi[i - 1])));
}

void kernel_call(Numbers *to, Function function, const Numbers *a, const Numbers *b)
{
    switch (function) {
    case FUNCTION_MIN:
        pick_min(to, a, b);
        return;
    case FUNCTION_MAX:
        pick_max(to, a, b);
        return;
    case FUNCTION_ABS:
        pick_abs(to, a);
        return;
    case FUNCTION_SQRT:
        pick_root(to, a);
        return;
    default:
        break;
    }
    PlainNumber result = number_unknown();
    to->wide = false;
    EACH_LANE(i)
    {
        PlainNumber second = b ? lane_of(b, i) : number_unknown();
        if (!as_before(a, i) || (b && !as_before(b, i))) {
            result = number_function(function, lane_of(a, i), second);
        }
        set_lane(to, i, result);
    }
}

void kernel_table(Numbers *to, const RuleTable *table, const Numbers *a)
{
    PlainNumber result = number_unknown();
    to->wide = false;
    EACH_LANE(i)
    {
        if (!as_before(a, i)) {
            result = number_table(table, lane_of(a, i));
        }
        set_lane(to, i, result);
    }
}

KERNEL static void raise_exact(double *restrict to, const double *restrict base, int power)
{
    EACH_LANE(i)
    {
        to[i] = power == 0 ? 1 + (base[i] - base[i]) : base[i];
    }
    for (int k = 1; k < power; k++) {
        EACH_LANE(i)
        {
            to[i] *= base[i];
        }
    }
    EACH_LANE(i)
    {
        to[i] = known(to[i]);
    }
}

void kernel_power(Numbers *to, const Numbers *a, int power)
{
    to->wide = false;
    if (!a->wide) {
        raise_exact(to->nominal, a->nominal, power);
        return;
    }
    PlainNumber result = number_unknown();
    EACH_LANE(i)
    {
        if (!as_before(a, i)) {
            result = number_power(lane_of(a, i), power);
        }
        set_lane(to, i, result);
    }
}

KERNEL static void choose_exact(double *restrict to, const Truths *condition,
                                const double *restrict yes, const double *restrict no)
{
    const uint64_t first = condition->is_true, second = condition->is_false;
    EACH_LANE(i)
    {
        to[i] = first & lane_bit[i] ? yes[i] : second & lane_bit[i] ? no[i] : NAN;
    }
}

/* As number_select() of interval.h; the nominal value is there already. */
INLINE PlainNumber lane_choose(double nominal, PlainNumber a, PlainNumber b, bool first,
                               bool second, bool neither, bool word)
{
    bool both = first & second, no_a = a.lo != a.lo, no_b = b.lo != b.lo;
    double lo = both ? lesser(a.lo, b.lo) : first ? a.lo : b.lo;
    double hi = both ? greater(a.hi, b.hi) : first ? a.hi : b.hi;
    bool never = !(first | second);
    bool unknown = never | (!neither & both & no_a & no_b);
    bool doubtful = neither | (both & (no_a != no_b)) | (word & (lo < hi));
    lo = doubtful ? -INFINITY : lo;
    hi = doubtful ? INFINITY : hi;
    return (PlainNumber){nominal, unknown ? NAN : lo, unknown ? NAN : hi};
}

KERNEL static void choose_wide(Numbers *restrict to, const Truths *condition, const Numbers *yes,
                               const Numbers *no, bool word)
{
    const double *al = lo_of(yes), *ah = hi_of(yes), *bl = lo_of(no), *bh = hi_of(no);
    const uint64_t first = condition->can_true, second = condition->can_false;
    const uint64_t neither = condition->can_unknown;
    EACH_LANE(i)
    {
        PlainNumber a = {0, al[i], ah[i]}, b = {0, bl[i], bh[i]};
        PlainNumber r =
            lane_choose(to->nominal[i], a, b, (first & lane_bit[i]) != 0,
                        (second & lane_bit[i]) != 0, (neither & lane_bit[i]) != 0, word);
        to->lo[i] = r.lo;
        to->hi[i] = r.hi;
    }
}

void kernel_choose(Numbers *to, const Truths *condition, const Numbers *yes, const Numbers *no,
                   bool word)
{
    const Truths *c = condition;
    uint64_t open = (c->can_true & c->can_false) | (c->can_unknown & (c->can_true | c->can_false));
    choose_exact(to->nominal, condition, yes->nominal, no->nominal);
    to->wide = yes->wide || no->wide || open;
    if (to->wide) {
        choose_wide(to, condition, yes, no, word);
    }
}

KERNEL static void zero_or_not(Truths *to, const double *a)
{
    uint64_t zero = 0, given = 0;
    EACH_LANE(i)
    {
        zero |= a[i] == 0 ? lane_bit[i] : 0;
        given |= a[i] == a[i] ? lane_bit[i] : 0;
    }
    *to = truths_exact(given & ~zero, zero);
}

void kernel_truth(Truths *to, const Numbers *a)
{
    zero_or_not(to, a->nominal);
}

/* What the rounding of a chain of operations may take away is forgiven. */
INLINE double forgiven(double a, double b)
{
    return b - 1e-9 * greater(fabs(a), fabs(b));
}

/* Where a >= b, and where it is not though both are known. */
INLINE void compare(const double *a, const double *b, uint64_t *yes, uint64_t *no)
{
    uint64_t holds = 0, fails = 0;
    EACH_LANE(i)
    {
        double least = forgiven(a[i], b[i]);
        holds |= a[i] >= least ? lane_bit[i] : 0;
        fails |= a[i] < least ? lane_bit[i] : 0;
    }
    *yes = holds;
    *no = fails;
}

/* Lanes where one of the two is unknown, or doubtful. */
INLINE void find_open(const double *a, const double *b, uint64_t *unknown, uint64_t *doubtful)
{
    uint64_t never = 0, open = 0;
    EACH_LANE(i)
    {
        never |= a[i] != a[i] || b[i] != b[i] ? lane_bit[i] : 0;
        open |= a[i] == -INFINITY || b[i] == -INFINITY ? lane_bit[i] : 0;
    }
    *unknown = never;
    *doubtful = open;
}

KERNEL void kernel_at_least(Truths *to, const Numbers *a, const Numbers *b)
{
    uint64_t yes, no, unknown, doubtful, can, cannot;
    compare(a->nominal, b->nominal, &yes, &no);
    *to = truths_exact(yes, no);
    if (!a->wide && !b->wide) {
        return;
    }
    find_open(lo_of(a), lo_of(b), &unknown, &doubtful);
    compare(hi_of(a), lo_of(b), &can, &cannot);
    to->can_true = (can | doubtful) & ~unknown;
    compare(lo_of(a), hi_of(b), &can, &cannot);
    to->can_false = (cannot | doubtful) & ~unknown;
    to->can_unknown = unknown | doubtful;
}

/* Doubtful lanes can be anything. */
static void open_lanes(Truths *truths, const Numbers *a)
{
    uint64_t unknown, doubtful;
    if (a->wide) {
        find_open(a->lo, a->lo, &unknown, &doubtful);
        truths->can_true |= doubtful;
        truths->can_false |= doubtful;
        truths->can_unknown |= doubtful;
    }
}

KERNEL static void test_words(Truths *to, const double *word, uint64_t words)
{
    uint64_t yes = 0, no = 0;
    EACH_LANE(i)
    {
        int32_t index = word[i] >= 0 ? (int32_t)word[i] : 0;
        uint64_t given = word[i] >= 0 ? lane_bit[i] : 0;
        uint64_t in = words >> index & 1 ? given : 0;
        yes |= in;
        no |= given ^ in;
    }
    *to = truths_exact(yes, no);
}

void kernel_in_words(Truths *to, const Numbers *word, uint64_t words)
{
    test_words(to, word->nominal, words);
    open_lanes(to, word);
}

static bool holds_count(uint64_t set, double count)
{
    double whole = round(count);
    bool near = fabs(count - whole) <= 1e-9 * fmax(1, fabs(count));
    return near && whole >= 0 && whole < 64 && (set >> (int)whole & 1);
}

/* Whether a member of the set lies in [lo, hi]. */
static bool holds_some(uint64_t set, double lo, double hi)
{
    for (; set; set &= set - 1) {
        int member = __builtin_ctzll(set);
        if (member >= lo - 1e-9 * member && member <= hi + 1e-9 * member) {
            return true;
        }
    }
    return false;
}

/* One lane, as bit 0. Whatever has a tolerance can also be out of the set. */
static Truths in_set(PlainNumber a, uint64_t set, bool counts)
{
    bool given = !isnan(a.nominal);
    bool in = given && (counts ? holds_count(set, a.nominal) : set >> (int)a.nominal & 1);
    Truths truth = {in, given && !in, in, given && !in, !given || number_is_doubtful(a)};
    if (a.lo < a.hi) {
        truth.can_true |= !counts || holds_some(set, a.lo, a.hi);
        truth.can_false = 1;
    }
    return truth;
}

/* Neighbours mostly have one set, and counts mostly are whole. */
static void exact_in_sets(Truths *to, const double *a, const double *sets, bool counts)
{
    uint64_t yes = 0, no = 0, set = 0;
    EACH_LANE(i)
    {
        if (i == 0 || bits_of(sets[i]) != bits_of(sets[i - 1])) {
            set = isnan(sets[i]) ? 0 : (uint64_t)sets[i];
        }
        if (isnan(sets[i]) || isnan(a[i])) {
            continue;
        }
        int member = a[i] >= 0 && a[i] < 64 ? (int)a[i] : -1;
        bool whole = member >= 0 && member == a[i];
        bool in = whole || !counts ? set >> member & 1 : holds_count(set, a[i]);
        yes |= in ? lane_bit[i] : 0;
        no |= in ? 0 : lane_bit[i];
    }
    *to = truths_exact(yes, no);
}

void kernel_in_sets(Truths *to, const Numbers *a, const Numbers *sets, bool counts)
{
    if (!a->wide) {
        exact_in_sets(to, a->nominal, sets->nominal, counts);
        return;
    }
    *to = (Truths){0};
    EACH_LANE(i)
    {
        double set = sets->nominal[i];
        Truths one =
            isnan(set) ? (Truths){.can_unknown = 1} : in_set(lane_of(a, i), (uint64_t)set, counts);
        to->is_true |= one.is_true << i;
        to->is_false |= one.is_false << i;
        to->can_true |= one.can_true << i;
        to->can_false |= one.can_false << i;
        to->can_unknown |= one.can_unknown << i;
    }
}

/* `with` in the lanes of `mask`. */
static void blend(Numbers *to, uint64_t mask, const Numbers *with)
{
    bool wide = to->wide || with->wide;
    EACH_LANE(i)
    {
        PlainNumber lane = lane_of(mask >> i & 1 ? with : to, i);
        to->nominal[i] = lane.nominal;
        if (wide) {
            to->lo[i] = lane.lo;
            to->hi[i] = lane.hi;
        }
    }
    to->wide = wide;
}

void kernel_sum_add(Numbers *sum, const Truths *filter, const Numbers *body, uint64_t active)
{
    Numbers zero, one, chosen, total;
    if (!body) {
        kernel_literal(&one, 1);
        body = &one;
    }
    if (filter) {
        kernel_literal(&zero, 0);
        kernel_choose(&chosen, filter, body, &zero, false);
        body = &chosen;
    }
    kernel_add(&total, sum, body);
    blend(sum, active, &total);
}

void kernel_unknown_in(Numbers *to, uint64_t lanes)
{
    EACH_LANE(i)
    {
        to->nominal[i] = lanes >> i & 1 ? NAN : to->nominal[i];
    }
}

void kernel_most_start(Numbers *most)
{
    most->wide = true;
    most->gathering = (Gathering){0};
    EACH_LANE(i)
    {
        most->nominal[i] = NAN;
        most->lo[i] = most->hi[i] = -INFINITY;
    }
}

/* One member of one lane: `bit` in the sets of lanes, `i` in the columns. */
static void most_add_lane(Numbers *most, int i, const Truths *filter, PlainNumber body)
{
    Gathering *g = &most->gathering;
    uint64_t bit = 1ull << i;
    bool in = filter->is_true & bit, out = filter->is_false & bit;
    bool can = filter->can_true & bit, cannot = filter->can_false & bit;
    g->nominal_unknown |= (!in && !out) || (in && isnan(body.nominal)) ? bit : 0;
    if (in && (isnan(most->nominal[i]) || body.nominal > most->nominal[i])) {
        most->nominal[i] = body.nominal;
    }
    if (filter->can_unknown & bit) {
        g->unknown |= !can && !cannot ? bit : 0;
        g->doubtful |= bit;
    } else if (can) {
        bool nothing = number_is_unknown(body);
        g->unknown |= !cannot && nothing ? bit : 0;
        g->doubtful |= nothing || number_is_doubtful(body) ? bit : 0;
        g->sure |= cannot ? 0 : bit;
        g->possible |= bit;
        most->lo[i] = cannot ? most->lo[i] : fmax(most->lo[i], body.lo);
        most->hi[i] = fmax(most->hi[i], body.hi);
    }
}

void kernel_most_add(Numbers *most, const Truths *filter, const Numbers *body, uint64_t active,
                     bool least)
{
    const Truths all = truths_exact(~0ull, 0);
    EACH_LANE(i)
    {
        if (active >> i & 1) {
            PlainNumber lane = lane_of(body, i);
            most_add_lane(most, i, filter ? filter : &all, least ? number_negate(lane) : lane);
        }
    }
}

void kernel_most_finish(Numbers *most, bool least)
{
    const Gathering *g = &most->gathering;
    const uint64_t unknown = g->unknown | ~(g->possible | g->doubtful);
    const uint64_t doubtful = g->doubtful | ~g->sure;
    most->wide = false;
    EACH_LANE(i)
    {
        PlainNumber lane = {most->nominal[i], most->lo[i], most->hi[i]};
        lane.nominal = g->nominal_unknown >> i & 1 ? NAN : lane.nominal;
        lane = unknown >> i & 1    ? number_unknown()
               : doubtful >> i & 1 ? number_doubtful(lane.nominal)
                                   : lane;
        set_lane(most, i, least ? number_negate(lane) : lane);
    }
}

/* ---- What is to spare ---- */

KERNEL void kernel_spare_test(Spares *to, const Truths *truth)
{
    const uint64_t yes = truth->is_true, no = truth->is_false;
    to->is_true = yes;
    to->is_false = no;
    EACH_LANE(i)
    {
        to->relative[i] = yes & lane_bit[i] ? INFINITY : no & lane_bit[i] ? -INFINITY : NAN;
    }
}

KERNEL void kernel_spare_compare(Spares *to, const Truths *truth, const Numbers *a,
                                 const Numbers *b, bool equal)
{
    to->is_true = truth->is_true;
    to->is_false = truth->is_false;
    EACH_LANE(i)
    {
        double x = a->nominal[i], y = b->nominal[i];
        double apart = x - y, size = greater(fabs(x), fabs(y));
        double amount = equal ? 0 - fabs(apart) : apart;
        double share = amount / size;
        to->relative[i] = amount != amount ? NAN : size > 0 ? share : 0;
    }
}

KERNEL void kernel_spare_not(Spares *to, const Spares *a)
{
    to->is_true = a->is_false;
    to->is_false = a->is_true;
    EACH_LANE(i)
    {
        to->relative[i] = 0 - a->relative[i];
    }
}

KERNEL void kernel_spare_join(Spares *to, const Spares *a, const Spares *b, bool least)
{
    const uint64_t every_a = least ? a->is_true : a->is_false;
    const uint64_t every_b = least ? b->is_true : b->is_false;
    const uint64_t one_a = least ? a->is_false : a->is_true;
    const uint64_t one_b = least ? b->is_false : b->is_true;
    const uint64_t all = every_a & every_b, one = one_a | one_b;
    const uint64_t first = one_a & ~one_b, second = one_b & ~one_a, known = all | one;
    to->is_true = least ? all : one;
    to->is_false = least ? one : all;
    EACH_LANE(i)
    {
        double x = a->relative[i], y = b->relative[i];
        bool turned = least ? y < x : y > x;
        double decided = second & lane_bit[i] ? y : first & lane_bit[i] ? x : turned ? y : x;
        to->relative[i] = known & lane_bit[i] ? decided : NAN;
    }
}

KERNEL void kernel_spare_choose(Spares *to, const Truths *condition, const Spares *yes,
                                const Spares *no)
{
    const uint64_t first = condition->is_true, second = condition->is_false;
    to->is_true = (first & yes->is_true) | (second & no->is_true);
    to->is_false = (first & yes->is_false) | (second & no->is_false);
    EACH_LANE(i)
    {
        to->relative[i] = first & lane_bit[i]    ? yes->relative[i]
                          : second & lane_bit[i] ? no->relative[i]
                                                 : NAN;
    }
}

/* What a member brings: as if there were none where its filter is false. */
KERNEL static void spare_of_member(Spares *to, const Truths *filter, const Spares *body,
                                   bool every)
{
    const uint64_t in = filter->is_true, out = filter->is_false;
    to->is_true = every ? out | body->is_true : in & body->is_true;
    to->is_false = every ? in & body->is_false : out | body->is_false;
    const uint64_t known = to->is_true | to->is_false;
    EACH_LANE(i)
    {
        double decided = known & lane_bit[i] ? body->relative[i] : NAN;
        to->relative[i] = out & lane_bit[i] ? (every ? INFINITY : -INFINITY) : decided;
    }
}

KERNEL static void blend_spares(Spares *to, uint64_t mask, const Spares *with)
{
    to->is_true = (to->is_true & ~mask) | (with->is_true & mask);
    to->is_false = (to->is_false & ~mask) | (with->is_false & mask);
    EACH_LANE(i)
    {
        to->relative[i] = mask & lane_bit[i] ? with->relative[i] : to->relative[i];
    }
}

void kernel_spare_add(Spares *to, const Truths *filter, const Spares *body, uint64_t active,
                      bool every)
{
    Spares member, joined;
    if (filter) {
        spare_of_member(&member, filter, body, every);
    }
    kernel_spare_join(&joined, to, filter ? &member : body, every);
    blend_spares(to, active, &joined);
}
