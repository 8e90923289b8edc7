/* Sums over bytes, by the library. For src/log. */
#include "log/sum.h"

#include <sys/types.h>

#include <sha2.h>

Sum sum_of(const char *first, size_t first_length, const char *second, size_t second_length)
{
    Sum sum;
    SHA2_CTX context;
    SHA256Init(&context);
    SHA256Update(&context, (const uint8_t *)first, first_length);
    SHA256Update(&context, (const uint8_t *)second, second_length);
    SHA256End(&context, sum.hex);
    return sum;
}
