/* Days and moments as texts. For src/log and whoever has a day to say. */
#include "log/date.h"

#include <stdio.h>
#include <string.h>

enum { YEAR_MOST = 9999 };

static int days_of(int year, int month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return days[month - 1] + (month == 2 && leap);
}

/* Whether the text is as the form, where '0' stands for any digit. */
static bool has_form(const char *text, const char *form)
{
    for (; *form != '\0'; form++, text++) {
        bool digit = *text >= '0' && *text <= '9';
        if (*form == '0' ? !digit : *text != *form)
            return false;
    }
    return *text == '\0';
}

static int number_at(const char *text, int length)
{
    int number = 0;
    for (int i = 0; i < length; i++)
        number = 10 * number + (text[i] - '0');
    return number;
}

/* The first ten characters have the form of a day. */
static bool day_at(const char *text, Date *date)
{
    *date = (Date){number_at(text, 4), number_at(text + 5, 2), number_at(text + 8, 2)};
    return date->year >= 1 && date->month >= 1 && date->month <= 12 && date->day >= 1 &&
           date->day <= days_of(date->year, date->month);
}

bool date_read(const char *text, Date *date)
{
    return has_form(text, "0000-00-00") && day_at(text, date);
}

int date_compare(Date a, Date b)
{
    if (a.year != b.year)
        return a.year - b.year;
    return a.month != b.month ? a.month - b.month : a.day - b.day;
}

void date_write(Text *text, Date date)
{
    text_addf(text, "%04d-%02d-%02d", date.year, date.month, date.day);
}

bool date_of(time_t moment, bool utc, Date *date)
{
    struct tm parts;
    if ((utc ? gmtime_r(&moment, &parts) : localtime_r(&moment, &parts)) == NULL)
        return false;
    *date = (Date){parts.tm_year + 1900, parts.tm_mon + 1, parts.tm_mday};
    return date->year >= 1 && date->year <= YEAR_MOST;
}

bool date_of_epoch(const char *seconds, Date *date)
{
    enum { DIGITS_MOST = 12 }; /* the year 9999 ends before a thirteenth */
    size_t length = strspn(seconds, "0123456789");
    if (length == 0 || length > DIGITS_MOST || seconds[length] != '\0')
        return false;
    time_t moment = 0;
    for (size_t i = 0; i < length; i++)
        moment = 10 * moment + (seconds[i] - '0');
    return date_of(moment, true, date);
}

bool moment_read(const char *text)
{
    Date date;
    return has_form(text, "0000-00-00T00:00:00Z") && day_at(text, &date) &&
           number_at(text + 11, 2) < 24 && number_at(text + 14, 2) < 60 &&
           number_at(text + 17, 2) < 60;
}

bool moment_write(char text[MOMENT_SIZE], time_t moment)
{
    struct tm parts;
    if (gmtime_r(&moment, &parts) == NULL || parts.tm_year + 1900 < 1 ||
        parts.tm_year + 1900 > YEAR_MOST)
        return false;
    int length =
        snprintf(text, MOMENT_SIZE, "%04d-%02d-%02dT%02d:%02d:%02dZ", parts.tm_year + 1900,
                 parts.tm_mon + 1, parts.tm_mday, parts.tm_hour, parts.tm_min, parts.tm_sec);
    return length == MOMENT_SIZE - 1;
}
