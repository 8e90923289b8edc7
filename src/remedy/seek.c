/* Roots and nearest values. For src/remedy and tests. */
#include "remedy/seek.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>

enum { ROOT_STEPS_MOST = 200 };

/* ---- Roots ---- */

/* b is the best so far, a the one before it, c on the other side of the root. */
typedef struct Bracket {
    double a, b, c, fa, fb, fc;
    double step, before; /* the last two steps */
} Bracket;

static void bracket_order(Bracket *k)
{
    if ((k->fb > 0) == (k->fc > 0)) {
        k->c = k->a;
        k->fc = k->fa;
        k->step = k->before = k->b - k->a;
    }
    if (fabs(k->fc) < fabs(k->fb)) {
        k->a = k->b;
        k->b = k->c;
        k->c = k->a;
        k->fa = k->fb;
        k->fb = k->fc;
        k->fc = k->fa;
    }
}

/* A secant or an inverse quadratic, where it stays inside and gets nearer fast enough. */
static void bracket_step(Bracket *k, double near)
{
    double middle = (k->c - k->b) / 2, p, q, s = k->fb / k->fa;
    double whole = k->before;
    k->before = k->step;
    if (fabs(whole) < near || fabs(k->fa) <= fabs(k->fb)) {
        k->step = k->before = middle;
        return;
    }
    if (k->a == k->c) {
        p = 2 * middle * s;
        q = 1 - s;
    } else {
        double t = k->fa / k->fc, r = k->fb / k->fc;
        p = s * (2 * middle * t * (t - r) - (k->b - k->a) * (r - 1));
        q = (t - 1) * (r - 1) * (s - 1);
    }
    q = p > 0 ? -q : q;
    p = fabs(p);
    if (2 * p < 3 * middle * q - fabs(near * q) && p < fabs(whole * q / 2))
        k->step = p / q;
    else
        k->step = k->before = middle;
}

bool seek_root(SeekFunction *function, void *data, double a, double b, double tolerance,
               double *root)
{
    Bracket k = {.a = a, .b = b, .fa = function(data, a), .fb = function(data, b)};
    k.c = k.b;
    k.fc = k.fb;
    if (!(k.fa * k.fb <= 0))
        return false;
    *root = k.fa == 0 ? a : b;
    for (int i = 0; i < ROOT_STEPS_MOST && k.fa != 0 && k.fb != 0; i++) {
        bracket_order(&k);
        double near = 2 * DBL_EPSILON * fabs(k.b) + tolerance / 2;
        *root = k.b;
        if (fabs(k.c - k.b) / 2 <= near)
            return true;
        bracket_step(&k, near);
        k.a = k.b;
        k.fa = k.fb;
        k.b += fabs(k.step) > near ? k.step : copysign(near, k.c - k.b);
        k.fb = function(data, k.b);
        if (isnan(k.fb))
            return false;
        if (k.fb == 0)
            *root = k.b;
    }
    return k.fa == 0 || k.fb == 0;
}

/* ---- Whole numbers ---- */

typedef struct Seeking {
    SeekAt *at;
    void *data;
    int rank;
} Seeking;

typedef struct Looked {
    long index;
    SeekPoint point;
} Looked;

static Looked look(const Seeking *s, long index)
{
    return (Looked){index, s->at(s->data, index)};
}

/* The end nearer to `without`, which has less. */
static long first_with(const Seeking *s, long without, long with)
{
    while (labs(with - without) > 1) {
        long middle = without + (with - without) / 2;
        if (look(s, middle).point.rank >= s->rank)
            with = middle;
        else
            without = middle;
    }
    return with;
}

/* Climbs to the top of the margin between a and c, of which b is higher than both. */
static bool peak_has(const Seeking *s, Looked a, Looked b, Looked c, long *with)
{
    while (labs(c.index - a.index) > 2) {
        bool left = labs(b.index - a.index) > labs(c.index - b.index);
        Looked *side = left ? &a : &c;
        Looked middle = look(s, b.index + (side->index - b.index) / 2);
        if (middle.index == b.index)
            return false;
        if (middle.point.rank >= s->rank) {
            *with = middle.index;
            return true;
        }
        if (middle.point.margin > b.point.margin) {
            *(left ? &c : &a) = b;
            b = middle;
        } else {
            *side = middle;
        }
    }
    return false;
}

bool seek_index(SeekAt *at, void *data, long from, long to, int rank, long *found)
{
    Seeking s = {at, data, rank};
    long direction = to < from ? -1 : 1, reach = labs(to - from), with;
    Looked before = {from, {0, (double)NAN}}, last = look(&s, from);
    for (long away = 1; labs(last.index - from) < reach; away += 1 + away / 2) {
        Looked next = look(&s, from + direction * (away < reach ? away : reach));
        bool peak =
            before.point.margin < last.point.margin && next.point.margin <= last.point.margin;
        if (peak && peak_has(&s, before, last, next, &with)) {
            *found = first_with(&s, before.index, with);
            return true;
        }
        if (next.point.rank >= rank) {
            *found = first_with(&s, last.index, next.index);
            return true;
        }
        before = last;
        last = next;
    }
    return false;
}
