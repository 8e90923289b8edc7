/* libyaml's complaints reworded for people. For src/yaml only. */
#include <string.h>
#include <yaml.h>

#include "yaml/yaml_inside.h"

/* libyaml takes a longer text for no key. */
enum { KEY_CHARACTERS_MOST = 1024 };

typedef enum Point {
    AT_PROBLEM, /* where libyaml stumbled */
    AT_CONTEXT, /* where the thing it was reading begins */
    AT_BOTH
} Point;

typedef struct Wording {
    const char *problem; /* as libyaml says it */
    Point point;
    const char *text;
} Wording;

static const Wording wordings[] = {
    {"block sequence entries are not allowed in this context",       AT_PROBLEM,
     "a list item cannot start here; begin '- ' on a line of its own"                                                             },
    {"could not find expected ':'",                                  AT_CONTEXT, "expected 'key: value', but no ':' follows"      },
    {"found unexpected end of stream",                               AT_CONTEXT, "this quote is never closed"                     },
    {"found unexpected document indicator",                          AT_CONTEXT,
     "this quote is not closed before a line with --- or ..."                                                                     },
    {"found unknown escape character",                               AT_PROBLEM,
     "unknown escape after '\\'; write '\\\\' for a backslash, or use single quotes"                                              },
    {"did not find expected hexdecimal number",                      AT_PROBLEM,
     "the escape lacks hexadecimal digits: \\x41, \\u0041 or \\U00000041"                                                         },
    {"found invalid Unicode character escape code",                  AT_PROBLEM,
     "the escape names no Unicode character"                                                                                      },
    {"did not find expected comment or line break",                  AT_PROBLEM,
     "only a comment may follow on this line"                                                                                     },
    {"found an indentation indicator equal to 0",                    AT_PROBLEM,
     "the indent of a text block is a digit from 1 to 9"                                                                          },
    {"found a tab character where an indentation space is expected", AT_PROBLEM,
     "a tab cannot indent; use blanks"                                                                                            },
    {"found a tab character that violates indentation",              AT_PROBLEM,
     "a tab cannot indent; use blanks"                                                                                            },
    {"did not find expected whitespace or line break",               AT_CONTEXT,
     "text cannot begin with '!', '&' or '*'; put it in quotes"                                                                   },
    {"did not find expected alphabetic or numeric character",        AT_CONTEXT,
     "text cannot begin with '&' or '*'; put it in quotes"                                                                        },
    {"did not find expected key",                                    AT_BOTH,
     "expected a key that lines up with the keys before it, or nothing more; "
     "check the indent and the quotes"                                                                                            },
    {"did not find expected '-' indicator",                          AT_BOTH,
     "expected '- ' that lines up with the items before it; check the indent"                                                     },
    {"did not find expected ',' or ']'",                             AT_BOTH,    "expected ',' or the ']' that closes the list"   },
    {"did not find expected ',' or '}'",                             AT_BOTH,
     "expected ',' or the '}' that closes the mapping"                                                                            },
    {"did not find expected <document start>",                       AT_PROBLEM,
     "expected nothing more: a file holds one value; check the indent"                                                            },
    {"did not find expected node content",                           AT_PROBLEM, "a value is missing here"                        },
    {"found incompatible YAML document",                             AT_PROBLEM, "expected %YAML 1.1 or 1.2"                      },
    {"found duplicate %YAML directive",                              AT_PROBLEM, "a second %YAML line"                            },
    {"found unknown directive name",                                 AT_PROBLEM, "expected no line with '%' but %YAML 1.2"        },
    {"found undefined tag handle",                                   AT_PROBLEM, "tags are not used here; remove '!' and its word"},
};

/* Where no key can be: too long, a second colon on the line, or an indent. */
static const char *stray_colon(const YamlFile *file, size_t byte)
{
    Where at = yaml_file_where(file, byte);
    const char *line = file->bytes + file->lines[at.line - 1];
    const char *colon = file->bytes + byte;
    if (at.column > KEY_CHARACTERS_MOST)
        return "a key may have at most 1024 characters";
    for (const char *c = line; c + 1 < colon; c++)
        if (c[0] == ':' && (c[1] == ' ' || c[1] == '\t'))
            return "a second ': ' on one line; put text that holds ': ' in quotes";
    return "no key can stand here: the line above already has a value, or the indent is wrong";
}

static bool key_is_too_long(const YamlFile *file, size_t byte)
{
    size_t end = byte + strcspn(file->bytes + byte, "\r\n");
    return end - byte > KEY_CHARACTERS_MOST;
}

static const char *odd_start(char byte)
{
    switch (byte) {
    case '\t':
        return "a tab cannot indent; use blanks";
    case '@':
        return "text cannot begin with '@'; put it in quotes";
    case '`':
        return "text cannot begin with '`'; put it in quotes";
    case '%':
        return "text cannot begin with '%'; put it in quotes";
    default:
        return "text cannot begin with this character; put it in quotes";
    }
}

/* Wordings that depend on what stands at the place. NULL: none. */
static const char *wording_there(const YamlFile *file, const char *problem, size_t byte,
                                 size_t context)
{
    if (file->bytes[byte] == '?' && strncmp(problem, "found", 5) != 0)
        return "a bare '?' is no value; write unknown";
    if (file->bytes[byte] == ':' && (strcmp(problem, "did not find expected key") == 0 ||
                                     strcmp(problem, "did not find expected node content") == 0))
        return "a key is missing here";
    if (strcmp(problem, "mapping values are not allowed in this context") == 0)
        return stray_colon(file, byte);
    if (strcmp(problem, "found character that cannot start any token") == 0)
        return odd_start(file->bytes[byte]);
    if (strcmp(problem, "could not find expected ':'") == 0 && key_is_too_long(file, context))
        return "a key may have at most 1024 characters";
    return NULL;
}

static void say(const YamlSource *source, const Wording *wording, size_t problem, size_t context)
{
    const YamlFile *file = source->file;
    bool ended = problem >= file->length;
    Where at = yaml_file_where(file, wording->point == AT_CONTEXT ? context : problem);
    Where begin = yaml_file_where(file, context);
    if (wording->point == AT_BOTH && ended)
        message_error(source->messages, begin, "what begins here is not complete: %s",
                      wording->text);
    else if (wording->point == AT_BOTH)
        message_error_two(source->messages, at, begin, "%s", wording->text);
    else
        message_error(source->messages, at, "%s", wording->text);
}

void yaml_syntax_error(YamlSource *source, const struct yaml_parser_s *parser)
{
    const YamlFile *file = source->file;
    const char *problem = parser->problem ? parser->problem : "not valid YAML";
    size_t byte = yaml_source_byte(source, parser->problem_mark.index);
    size_t context = parser->context ? yaml_source_byte(source, parser->context_mark.index) : byte;
    if (parser->error == YAML_READER_ERROR) /* its marks are not set */
        byte = source->first + parser->problem_offset;
    if (byte > file->length)
        byte = file->length;
    const char *there = wording_there(file, problem, byte, context);
    if (there) {
        Point point = strncmp(problem, "could not", 9) == 0 ? AT_CONTEXT : AT_PROBLEM;
        say(source, &(Wording){problem, point, there}, byte, context);
        return;
    }
    for (size_t i = 0; i < sizeof wordings / sizeof wordings[0]; i++)
        if (strcmp(wordings[i].problem, problem) == 0) {
            say(source, &wordings[i], byte, context);
            return;
        }
    message_error(source->messages, yaml_file_where(file, byte), "not valid YAML: %s%s%s",
                  parser->context ? parser->context : "", parser->context ? ", " : "", problem);
}
