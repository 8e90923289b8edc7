/* Hostile and broken YAML: each case is refused at the right place with words
 * that help, or is accepted on purpose. Each takes less than a second. */
#define _GNU_SOURCE
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/text.h"
#include "yaml/yaml_tree.h"
#include "scratch.h"

enum { TAKEN = -1 };

typedef struct Case {
    const char *text;
    int line, column; /* of the first message; line TAKEN: accepted */
    const char *says; /* part of the message */
} Case;

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static void check_bytes(const char *bytes, size_t length, bool aliases, const Case *expected)
{
    Arena arena = {0};
    Messages messages = {0};
    struct timespec before, after;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &before);
    YamlFile *file = yaml_read_bytes(&arena, "h.yaml", bytes, length, aliases, &messages);
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &after);
    double seconds =
        (double)(after.tv_sec - before.tv_sec) + (double)(after.tv_nsec - before.tv_nsec) / 1e9;
    char shown[60];
    snprintf(shown, sizeof shown, "%s", bytes);
    if (seconds > 5) /* a second, and room for sanitizers and slow machines */
        fail_msg("%.1f s for: %s", seconds, shown);
    if ((file == NULL) == (expected->line == TAKEN) || (file && messages.errors))
        fail_msg("%s: %s (%s)", file ? "taken" : "refused", shown,
                 messages.count ? messages.items[0].text : "in silence");
    if (file) {
        assert_true(yaml_check(file));
    } else {
        const Message *first = &messages.items[0];
        if (first->at.line != expected->line || first->at.column != expected->column)
            fail_msg("%d:%d, not %d:%d: %s: %s", first->at.line, first->at.column, expected->line,
                     expected->column, shown, first->text);
        if (!strstr(first->text, expected->says))
            fail_msg("'%s' does not say '%s': %s", first->text, expected->says, shown);
        assert_string_equal(first->at.file, "h.yaml");
    }
    messages_free(&messages);
    arena_free(&arena);
}

static void check(const Case *cases, size_t count, bool aliases)
{
    for (size_t i = 0; i < count; i++)
        check_bytes(cases[i].text, strlen(cases[i].text), aliases, &cases[i]);
}

static void syntax_errors_point_to_the_place(void **state)
{
    (void)state;
    static const Case cases[] = {
        {"a: 1\nthickness\nb: 2\n",            2, 1, "no ':' follows"                   },
        {"a: 1\n  b: 2\n",                     2, 4, "no key can stand here"            },
        {"a: b: c\n",                          1, 5, "second ': '"                      },
        {"a:\n\tb: 1\n",                       2, 1, "a tab cannot indent"              },
        {"a:\n  b: 1\n\tc: 1\n",               3, 1, "a tab cannot indent"              },
        {"a: \"x\nb: 1\n",                     1, 4, "never closed"                     },
        {"a: 'x\n",                            1, 4, "never closed"                     },
        {"a: \"x\n---\n",                      1, 4, "not closed before a line with ---"},
        {"a: [1, 2\nb: 3\n",                   2, 2, "']' that closes the list"         },
        {"a: {x: 1\n",                         1, 4, "not complete"                     },
        {"a: [1, 2\n",                         1, 4, "not complete"                     },
        {"a: [1,,2]\n",                        1, 7, "a value is missing"               },
        {"a: {x: 1,3 mm}\n",                   1, 8, "write 1.3 with a point"           },
        {"a: {x: 0,25}\n",                     1, 8, "write 0.25 with a point"          },
        {"a: {x: 4 ± 0,1 mm, y: 2}\n",        1, 12, "write 0.1 with a point"          },
        {"a: {x: 1,300 mm}\n",                 1, 8, "or 1300"                          },
        {"a: {x: y,3 mm}\n",                   1, 10, "expected 'key: value'"           },
        {"a: {x: 1, 3 mm}\n",                  1, 11, "expected 'key: value'"           },
        {"a: - b\n",                           1, 4, "line of its own"                  },
        {"a: \"x\" y\n",                       1, 8, "check the indent and the quotes"  },
        {"a: @b\n",                            1, 4, "begin with '@'"                   },
        {"a: `b`\n",                           1, 4, "begin with '`'"                   },
        {"a: %b\n",                            1, 4, "begin with '%'"                   },
        {"a: *\n",                             1, 4, "begin with '&' or '*'"            },
        {"a: \"\\q\"\n",                       1, 5, "unknown escape"                   },
        {"a: \"\\xZZ\"\n",                     1, 7, "hexadecimal"                      },
        {"a: \"\\ud800\"\n",                   1, 7, "no Unicode character"             },
        {"a: | x\n",                           1, 6, "only a comment"                   },
        {"a: |0\n  x\n",                       1, 5, "digit from 1 to 9"                },
        {"{a: 1} b\n",                         1, 8, "nothing more"                     },
        {" a: 1\nb: 1\n",                      2, 1, "nothing more"                     },
        {"a:\n    b: 1\n  c: 1\n",             3, 3, "lines up"                         },
        {"a: 1\n- b\n",                        2, 1, "lines up"                         },
        {"- b\na: 1\n",                        2, 1, "lines up"                         },
        {"\xC3\xA4\xC3\xB6: \"\xC3\xBC\" x\n", 1, 9, "check the indent and the quotes"  },
        {"\xEF\xBB\xBF\xC3\xA4: [1,,2]\n",     1, 7, "a value is missing"               },
    };
    check(cases, COUNT(cases), true);
}

static void a_bare_question_mark_gets_advice(void **state)
{
    (void)state;
    static const Case cases[] = {
        {"thickness: ?\n",      1,     12, "write unknown"},
        {"x: {thickness: ?}\n", 1,     16, "write unknown"},
        {"- ?\n",               1,     3,  "write unknown"},
        {"- [?]\n",             1,     4,  "write unknown"},
        {"a: what?\n",          TAKEN, 0,  ""             },
        {"a: ?x\n",             TAKEN, 0,  ""             },
    };
    check(cases, COUNT(cases), false);
}

static void keys_are_plain_and_whole(void **state)
{
    (void)state;
    static const Case cases[] = {
        {"a: 1\nb: 2\na: 3\n",        3,     1,  "'a' stands twice"  },
        {"\"a\": 1\na: 2\n",          2,     1,  "'a' stands twice"  },
        {"x: {a: 1, b: 2, 'a': 3}\n", 1,     17, "'a' stands twice"  },
        {"\"\\x61\": 1\na: 2\n",      2,     1,  "'a' stands twice"  },
        {"x: {a: 1}\ny: {a: 1}\n",    TAKEN, 0,  ""                  },
        {"a: 1\nA: 1\n",              TAKEN, 0,  ""                  },
        {"<<: 3\n",                   1,     1,  "merge key"         },
        {"a: {'<<': {b: 1}}\n",       1,     5,  "merge key"         },
        {"\"\": 1\n",                 1,     1,  "key is missing"    },
        {": 4\n",                     1,     1,  "key is missing"    },
        {"{a: 1, : 4}\n",             1,     8,  "key is missing"    },
        {"[a]: 1\n",                  1,     1,  "a key must be text"},
        {"{x: 1}: 1\n",               1,     1,  "a key must be text"},
        {"a: {{x}}\n",                1,     5,  "a key must be text"},
        {"? a\n: b\n",                1,     3,  "'key: value'"      },
        {"? a\n",                     1,     3,  "'key: value'"      },
        {"? [a]\n: b\n",              1,     3,  "a key must be text"},
        {"{a, b: 1}\n",               1,     2,  "'key: value'"      },
        {"\"a\\nb\": 1\n",            1,     1,  "U+000A"            },
        {"a\tb: 1\n",                 1,     2,  "U+0009"            },
    };
    check(cases, COUNT(cases), false);
}

static void hidden_and_alike_characters_are_named(void **state)
{
    (void)state;
    static const Case cases[] = {
        {"a: 1\nv\xE2\x80\x8B"
         "amp: 2\n",                                     2,     2, "U+200B"               }, /* zero width space */
        {"vamp\xE2\x80\xAE: 2\n",                                 1,     5, "U+202E"               }, /* bidirectional */
        {"v\xC2\xAD"
         "amp: 2\n",                                     1,     2, "U+00AD"               }, /* soft hyphen */
        {"\"vamp\\u200b\": 2\n",                                  1,     1, "U+200B"               }, /* escaped */
        {"vamp\xC2\xA0: 2\n",                                     1,     5, "U+00A0"               }, /* no-break space */
        {"{a\xEF\xBC\x9A: 1}\n",                                  1,     3, "U+FF1A looks like ':'"}, /* full-width colon */
        {"quarter\xE2\x80\x91lat: 1\n",                           1,     8, "U+2011 looks like '-'"},
        {"a: 1\nb: x\xEF\xBC\x9A y\n",                            2,     5, "U+FF1A"               },
        {"a\xEF\xBC\x9A 1\n",                                     1,     2, "U+FF1A"               }, /* no key seen at all */
        {"a:\xC2\xA0"
         "1\n",                                          1,     3, "U+00A0"               },
        {"a: 4\xE2\x80\xAFmm\n",                                  1,     5, "U+202F"               },
        {"v\xD0\xB0mp: 1\n",                                      1,     2, "U+0430"               }, /* Cyrillic a */
        {"\xCE\x9Fpen: 1\n",                                      1,     1, "U+039F"               }, /* Greek O */
        {"\xD0\xBC\xD0\xBE\xD0\xB4\xD0\xB5\xD0\xBB\xD1\x8C: 1\n", TAKEN, 0, ""                     },
        {"Fu\xC3\x9Fhaus: 4 \xC2\xB1 0.2 mm\n",                   TAKEN, 0, ""                     },
        {"a: \"x\xEF\xBC\x9A\xC2\xA0y\"\n",                       TAKEN, 0, ""                     }, /* quoted: meant */
        {"a: \"x\xE2\x80\x8By\"\nb: \"\\e[31m\"\n",               TAKEN, 0, ""                     }, /* free text */
    };
    check(cases, COUNT(cases), false);
}

static void raw_control_characters_are_refused_everywhere(void **state)
{
    (void)state;
    static const Case cases[] = {
        {"a: 1\nb: \x1B[31m\n",      2,     4, "U+001B"},
        {"a: \"\x07\"\n",            1,     5, "U+0007"},
        {"# \x7F\na: 1\n",           1,     3, "U+007F"},
        {"a: \xC2\x9B"
         "31m\n",           1,     4, "U+009B"},
        {"a: 1\xC2\x85"
         "b: 2\n",          1,     5, "U+0085"},
        {"a: 1\xE2\x80\xA8"
         "b: 2\n",          1,     5, "U+2028"},
        {"a: 1\xE2\x80\xA9"
         "b: 2\n",          1,     5, "U+2029"},
        {"a: 1\n\xEF\xBB\xBF"
         "b: 2\n",          2,     1, "U+FEFF"},
        {"\xEF\xBB\xBF\xEF\xBB\xBF"
         "a: 2\n",          1,     1, "U+FEFF"},
        {"a: \xEF\xBF\xBE\n",        1,     4, "U+FFFE"},
        {"\xC3\xA4: \xEF\xB7\x90\n", 1,     4, "U+FDD0"},
        {"a: \"\\0\"\n",             1,     4, "U+0000"},
        {"a: 1\nb: [\"x\\x00y\"]\n", 2,     5, "U+0000"},
        {"\"a\\0\": 1\n",            1,     1, "U+0000"},
        {"a:\tx\n",                  TAKEN, 0, ""      },
        {"a: 1\r\nb: 2\r",           TAKEN, 0, ""      },
    };
    check(cases, COUNT(cases), false);
    check_bytes("a: 1\nb: x\0y\n", 12, false, &(Case){"", 2, 5, "U+0000"});
}

static void only_utf8_is_read(void **state)
{
    (void)state;
    static const Case cases[] = {
        {"a: 1\nb: \xE9t\xE9\n",     2,     4, "byte 0xE9"},
        {"a: \xC0\x80\n",            1,     4, "byte 0xC0"},
        {"a: \xED\xA0\x80\n",        1,     4, "byte 0xED"},
        {"\xC3\xA4: \xC3\xB6\xFF\n", 1,     5, "byte 0xFF"},
        {"a: \xE2\x82",              1,     4, "byte 0xE2"},
        {"\xEF\xBB\xBF"
         "a: 1\n",          TAKEN, 0, ""         },
    };
    check(cases, COUNT(cases), false);
    check_bytes("\xFF\xFE"
                "a\0:\0 \0b\0",
                10, false, &(Case){"", 0, 0, "UTF-16"});
    check_bytes("\xFE\xFF\0a\0:\0 \0b", 10, false, &(Case){"", 0, 0, "UTF-16"});
    check_bytes("a\0:\0 \0b\0", 8, false, &(Case){"", 0, 0, "UTF-16"});
    check_bytes("\0a\0:\0 \0b", 8, false, &(Case){"", 0, 0, "UTF-16"});
    check_bytes("\0", 1, false, &(Case){"", 1, 1, "U+0000"});
}

static void one_document_without_tags(void **state)
{
    (void)state;
    static const Case cases[] = {
        {"",                          0,     0, "empty"            },
        {"\xEF\xBB\xBF",              0,     0, "empty"            },
        {"# nothing\n\n",             0,     0, "empty"            },
        {"---\n",                     0,     0, "empty"            },
        {"a: 1\n---\nb: 1\n",         2,     1, "second document"  },
        {"---\n---\nb: 1\n",          2,     1, "second document"  },
        {"a: 1\n...\nb: 1\n",         3,     1, "nothing more"     },
        {"a: 1\n...\n---\nb: 1\n",    3,     1, "second document"  },
        {"--- \na: 1\n...\n",         TAKEN, 0, ""                 },
        {"a: !!str b\n",              1,     4, "tags are not used"},
        {"a: ! b\n",                  1,     4, "tags are not used"},
        {"a: !own {b: 1}\n",          1,     4, "tags are not used"},
        {"!!map\na: 1\n",             1,     1, "tags are not used"},
        {"a: !x!y b\n",               1,     4, "tags are not used"},
        {"!!str a: 1\n",              1,     1, "tags are not used"},
        {"%TAG ! tag:x\n---\na: 1\n", 1,     1, "tags are not used"},
        {"%YAML 1.3\n---\na: 1\n",    1,     1, "1.1 or 1.2"       },
        {"%YAML 2.0\n---\na: 1\n",    1,     1, "1.1 or 1.2"       },
        {"%OWN x\n---\na: 1\n",       1,     5, "no line with '%'" },
        {"%YAML 1.1\n---\na: 1\n",    TAKEN, 0, ""                 },
        {"%YAML 1.2\n---\na: 1\n",    TAKEN, 0, ""                 },
    };
    check(cases, COUNT(cases), true);
}

static void aliases_need_leave_and_end(void **state)
{
    (void)state;
    static const Case barred[] = {
        {"a: &x 1\n",     1, 4, "&x"},
        {"a: &x [1]\n",   1, 4, "&x"},
        {"a: 1\nb: *x\n", 2, 4, "*x"},
    };
    check(barred, COUNT(barred), false);
    static const Case cases[] = {
        {"a: &x 1\nb: *x\n",             TAKEN, 0,  ""                    },
        {"b: *x\na: &x 1\n",             1,     4,  "no &x stands before" },
        {"a: &x [*x]\n",                 1,     8,  "within &x itself"    },
        {"&x a: {b: {c: *x}}\n",         TAKEN, 0,  ""                    }, /* the key's own text */
        {"&x\na: {b: {c: *x}}\n",        2,     12, "within &x itself"    },
        {"a: &x 1\nb: &x 2\n",           2,     4,  "&x stands here twice"},
        {"a: &x b\n*x : 1\n",            2,     1,  "cannot be a key"     },
        {"a: &x {b: 1}\nc:\n  <<: *x\n", 3,     3,  "merge key"           },
    };
    check(cases, COUNT(cases), true);
}

static void check_text(Text *text, bool aliases, int line, int column, const char *says)
{
    check_bytes(text_string(text), text->length, aliases,
                &(Case){text_string(text), line, column, says});
    text_free(text);
}

static Text repeated(const char *head, const char *piece, int times, const char *tail)
{
    Text text = {0};
    text_add(&text, head);
    for (int i = 0; i < times; i++)
        text_add(&text, piece);
    text_add(&text, tail);
    return text;
}

static void depth_ends_at_64(void **state)
{
    (void)state;
    Text text = repeated("", "[", 64, "");
    for (int i = 0; i < 64; i++)
        text_add(&text, "]");
    check_text(&text, false, TAKEN, 0, "");
    text = repeated("", "[", 65, "");
    for (int i = 0; i < 65; i++)
        text_add(&text, "]");
    check_text(&text, false, 1, 65, "64 deep");
    text = repeated("", "[", 60000, "");
    check_text(&text, false, 1, 65, "64 deep");
    text = repeated("", "{a: ", 16000, "");
    check_text(&text, false, 1, 64 * 4 + 1, "64 deep");
    text = repeated("", "- ", 32000, "");
    check_text(&text, false, 1, 129, "64 deep");
    text = repeated("", "[\n", 1000000, "");
    check_text(&text, false, 65, 1, "64 deep");
    text = repeated("", "? ", 32000, "");
    check_text(&text, false, 1, 3, "a key must be text");
}

static void depth_counts_through_aliases(void **state)
{
    (void)state;
    Text text = {0};
    text_add(&text, "a0: &a0 [1]\n");
    for (int i = 1; i < 64; i++)
        text_addf(&text, "a%d: &a%d [*a%d ]\n", i, i, i - 1);
    check_text(&text, true, 64, 12, "64 deep");
}

static void expansion_is_counted(void **state)
{
    (void)state;
    Text text = {0};
    text_add(&text, "a0: &a0 [x, x, x, x, x, x, x, x, x]\n");
    for (int i = 1; i < 10; i++) {
        text_addf(&text, "a%d: &a%d [", i, i);
        for (int j = 0; j < 9; j++)
            text_addf(&text, "%s*a%d ", j ? ", " : "", i - 1);
        text_add(&text, "]\n");
    }
    check_text(&text, true, 6, 16, "more than 200000");
    text = repeated("a: &a 1\nb:\n", "  - *a\n", 1000, "");
    check_text(&text, true, TAKEN, 0, "");
    text = repeated("a: &a 1\nb:\n", "  - *a\n", 1001, "");
    check_text(&text, true, 1003, 5, "more than 1000 aliases");
    text = (Text){0};
    for (int i = 0; i < 60000; i++)
        text_addf(&text, "- &a%d x\n", i);
    check_text(&text, true, 1001, 3, "more than 1000 anchors");
    text = repeated("", "- [1, 2, 3]\n", 60000, "");
    check_text(&text, true, 50000, 10, "more than 200000");
}

static void keys_are_counted(void **state)
{
    (void)state;
    Text text = {0};
    for (int i = 0; i < 10000; i++)
        text_addf(&text, "k%d: 1\n", i);
    Text more = {0};
    text_add(&more, text_string(&text));
    text_add(&more, "last: 1\n");
    Text twin = {0};
    text_addf(&twin, "%.*sk0: 1\n", (int)(text.length - strlen("k9999: 1\n")), text_string(&text));
    check_text(&text, false, TAKEN, 0, "");
    check_text(&more, false, 10001, 1, "more than 10000 keys");
    check_text(&twin, false, 10000, 1, "'k0' stands twice");
}

static void sizes_are_bounded(void **state)
{
    (void)state;
    Text text = repeated("a: \"", "x", YAML_LINE_MOST - 6, "\"\n");
    check_text(&text, false, TAKEN, 0, "");
    text = repeated("b: 1\na: \"", "x", YAML_LINE_MOST - 5, "\"\n");
    check_text(&text, false, 2, 1, "longer than 64 KiB");
    text = repeated("", "k", 1100, ": 1\n");
    check_text(&text, false, 1, 1101, "at most 1024 characters");
    text = repeated("a: |\n", "  text text text text text text text text text text text text\n",
                    130000, "");
    check_text(&text, false, TAKEN, 0, "");
    text = repeated("a: 1\n", "# comment\n", 900000, "");
    check_text(&text, false, 0, 0, "larger than 8 MiB");
    text = repeated("a: 1\n...\n", "%TAG !x! y\n", 600000, "");
    check_text(&text, false, 3, 1, "tags are not used");
    text = repeated("", "\n", YAML_FILE_MOST - 5, "a: 1\n");
    check_text(&text, false, TAKEN, 0, "");
    text = repeated("a: [", "\xC3\xA9, ", 16000, "]\n");
    check_text(&text, false, TAKEN, 0, "");
}

static void several_errors_come_together(void **state)
{
    (void)state;
    Arena arena = {0};
    Messages messages = {0};
    const char *text = "a: 1\na: 2\n<<: 3\nb\xC2\xA0: 1\nc: \"\\0\"\nd: [\n";
    assert_null(yaml_read_bytes(&arena, "h.yaml", text, strlen(text), false, &messages));
    assert_int_equal(messages.errors, 4); /* the twin is told at the mapping's end */
    messages_free(&messages);
    Text many = {0};
    for (int i = 0; i < 50; i++)
        text_addf(&many, "- {a: 1, a: 2}\n");
    assert_null(
        yaml_read_bytes(&arena, "h.yaml", text_string(&many), many.length, false, &messages));
    assert_int_equal(messages.count, MESSAGES_ERRORS_A_FILE);
    assert_int_equal(messages.items[19].at.line, 20);
    assert_int_equal(messages.items[19].other.line, 20);
    assert_int_equal(messages.items[19].other.column, 4);
    text_free(&many);
    messages_free(&messages);
    arena_free(&arena);
}

static void assert_path_refused(const char *path, const char *says)
{
    Arena arena = {0};
    Messages messages = {0};
    assert_null(yaml_read(&arena, path, true, &messages));
    assert_int_equal(messages.count, 1);
    assert_string_equal(messages.items[0].at.file, path);
    assert_int_equal(messages.items[0].at.line, 0);
    if (!strstr(messages.items[0].text, says))
        fail_msg("'%s' does not say '%s'", messages.items[0].text, says);
    messages_free(&messages);
    arena_free(&arena);
}

static void what_is_no_file_is_refused(void **state)
{
    (void)state;
    char folder[SCRATCH_LENGTH], path[SCRATCH_INSIDE];
    scratch_folder(folder);
    snprintf(path, sizeof path, "%s/a.yaml", folder);
    assert_path_refused(path, "no such file");
    assert_path_refused(folder, "is a folder");
    assert_path_refused("/dev/zero", "is a device");
    assert_int_equal(mkfifo(path, 0600), 0);
    assert_path_refused(path, "is a pipe");
    assert_int_equal(unlink(path), 0);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_int_equal(fclose(file), 0);
    assert_path_refused(path, "empty");
    assert_int_equal(truncate(path, (off_t)100 << 20), 0);
    assert_path_refused(path, "larger than 8 MiB");
    assert_int_equal(truncate(path, 100), 0);
    assert_path_refused(path, "UTF-16 or not text");
    assert_int_equal(unlink(path), 0);
    assert_int_equal(rmdir(folder), 0);
}

/* Every byte of a small file replaced by every byte, and every beginning of
 * it: no crash, a tree that holds or a message with a place in the file. */
static void any_change_is_taken_or_refused_whole(void **state)
{
    (void)state;
    static const char good[] = "a: &x [b, {c: \"d\\n\"}]\n\xC3\xA9:\n  - |\n   t\n\n  - *x\n# e\n";
    enum { LENGTH = sizeof good - 1 };
    for (size_t at = 0; at < LENGTH; at++)
        for (int byte = 0; byte < 257; byte++) {
            char bytes[LENGTH];
            memcpy(bytes, good, LENGTH);
            bytes[at] = (char)byte;
            Arena arena = {0};
            Messages messages = {0};
            size_t length = byte == 256 ? at : (size_t)LENGTH;
            YamlFile *file = yaml_read_bytes(&arena, "h.yaml", bytes, length, true, &messages);
            if (file ? !yaml_check(file) || messages.errors : messages.errors == 0)
                fail_msg("byte %zu as 0x%02X", at, (unsigned)byte);
            for (size_t i = 0; i < messages.count; i++)
                assert_in_range(messages.items[i].at.line, 0, 12);
            messages_free(&messages);
            arena_free(&arena);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(syntax_errors_point_to_the_place),
        cmocka_unit_test(a_bare_question_mark_gets_advice),
        cmocka_unit_test(keys_are_plain_and_whole),
        cmocka_unit_test(hidden_and_alike_characters_are_named),
        cmocka_unit_test(raw_control_characters_are_refused_everywhere),
        cmocka_unit_test(only_utf8_is_read),
        cmocka_unit_test(one_document_without_tags),
        cmocka_unit_test(aliases_need_leave_and_end),
        cmocka_unit_test(depth_ends_at_64),
        cmocka_unit_test(depth_counts_through_aliases),
        cmocka_unit_test(expansion_is_counted),
        cmocka_unit_test(keys_are_counted),
        cmocka_unit_test(sizes_are_bounded),
        cmocka_unit_test(several_errors_come_together),
        cmocka_unit_test(what_is_no_file_is_refused),
        cmocka_unit_test(any_change_is_taken_or_refused_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
