/* One table of keys: which, where they are valid, what they do. The key line, the help
 * page and the manual come from it. */
#ifndef CORDWAIN_SCREEN_KEYS_H
#define CORDWAIN_SCREEN_KEYS_H

#include "screen/view.h"

/* Where a key is valid. */
enum {
    IN_WALK = 1,     /* going through the findings of a stop */
    IN_CHANGING = 2, /* going through what may be changed */
    IN_LIST = 4,     /* the list of all findings */
    IN_TEXT = 8,     /* a page of text */
    IN_PICTURE = 16,
    IN_REMEDIES = 32, /* what would clear a finding */
    IN_LINE = 64,     /* a proposed line */
    IN_WAYS = 128,    /* alternatives side by side */
    IN_ORDER = 256,   /* the making order */
    IN_FINDINGS = IN_WALK | IN_CHANGING | IN_LIST,
    IN_ROWS = IN_REMEDIES | IN_WAYS | IN_ORDER,
    IN_ALL = IN_FINDINGS | IN_TEXT | IN_PICTURE | IN_ROWS | IN_LINE
};

enum { KEYS_A_ROW = 4 };

typedef struct KeyRow {
    unsigned where;
    int keys[KEYS_A_ROW];
    const char *shown;  /* "Space" */
    const char *word;   /* in the key line: "next to settle"; NULL: not there */
    void (*does)(View *view);
    bool (*valid)(const View *view); /* NULL: always */
    const char *help;   /* one sentence */
} KeyRow;

extern const KeyRow key_table[];
extern const size_t key_count;

/* The row for a key where the view is; NULL: it does nothing there. */
const KeyRow *key_find(const View *view, int key);
bool key_valid(const View *view, const KeyRow *row);

#endif
