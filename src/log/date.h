/* Days and moments of the calendar (Gregorian, years 1 to 9999), without a clock: whoever
 * needs to know today is told. */
#ifndef CORDWAIN_LOG_DATE_H
#define CORDWAIN_LOG_DATE_H

#include <stdbool.h>
#include <time.h>

#include "base/text.h"

typedef struct Date {
    int year, month, day;
} Date;

/* "2026-02-28" and nothing else; a day that the calendar has. */
bool date_read(const char *text, Date *date);
/* Below 0 if `a` comes before `b`, 0 if they are the same day. */
int date_compare(Date a, Date b);
void date_write(Text *text, Date date);
/* The day at a moment: in UTC, or where the clock stands (TZ). False beyond year 9999. */
bool date_of(time_t moment, bool utc, Date *date);
/* A number of seconds as SOURCE_DATE_EPOCH has it. */
bool date_of_epoch(const char *seconds, Date *date);

/* "2026-02-28T17:05:00Z" and nothing else. */
bool moment_read(const char *text);
enum { MOMENT_SIZE = 21 };
bool moment_write(char text[MOMENT_SIZE], time_t moment);

#endif
