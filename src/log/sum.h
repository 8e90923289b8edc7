/* SHA-256 as 64 hexadecimal digits. For src/log, and for whoever tells which file it was. */
#ifndef CORDWAIN_LOG_SUM_H
#define CORDWAIN_LOG_SUM_H

#include <stddef.h>

enum { SUM_DIGITS = 64 };
typedef struct Sum {
    char hex[SUM_DIGITS + 1];
} Sum;

/* Of `first`, followed by `second`. */
Sum sum_of(const char *first, size_t first_length, const char *second, size_t second_length);

#endif
