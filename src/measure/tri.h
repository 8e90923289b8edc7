/* What is so, is not, or nobody knows. Knows nothing. */
#ifndef CORDWAIN_MEASURE_TRI_H
#define CORDWAIN_MEASURE_TRI_H

/* Kleene's three values in the order that makes `and` the least, `or` the most. */
typedef enum Tri { TRI_NO, TRI_UNKNOWN, TRI_YES } Tri;

static inline Tri tri_and(Tri a, Tri b)
{
    return a < b ? a : b;
}

static inline Tri tri_or(Tri a, Tri b)
{
    return a > b ? a : b;
}

static inline Tri tri_not(Tri a)
{
    return (Tri)(TRI_YES - a);
}

#endif
