/* The language: what it accepts, what it refuses and where, what it writes. */
#include "rule_kit.h"

typedef struct Accepted {
    Subject about;
    const char *text;
    const char *written; /* NULL: as `text` */
} Accepted;

static const Accepted accepted[] = {
    {SUBJECT_BEND,     "radius >= 3 mm",                                                           NULL                                },
    {SUBJECT_BEND,     "radius>=3mm",                                                              "radius >= 3 mm"                    },
    {SUBJECT_BEND,     "edge.finish is turned and curve is inward",                                NULL                                },
    {SUBJECT_BEND,     "not edge.finish is turned",                                                NULL                                },
    {SUBJECT_BEND,     "edge.finish is not turned",                                                NULL                                },
    {SUBJECT_BEND,     "edge.finish in {turned, folded}",                                          "edge.finish in {folded, turned}"   },
    {SUBJECT_BEND,     "edge.finish not in {raw,turned}",                                          "edge.finish not in {raw, turned}"  },
    {SUBJECT_BEND,     "edge.finish in {raw}",                                                     "edge.finish is raw"                },
    {SUBJECT_BEND,     "edge.skive.width > 0 mm",                                                  NULL                                },
    {SUBJECT_BEND,     "every edge.ply (facet_most < clip_least)",                                 NULL                                },
    {SUBJECT_BEND,     "every edge.ply where (ply.thickness > 1 mm) (ply.material.frays)",         NULL                                },
    {SUBJECT_BEND,     "some edge.ply (ply.material.kind in {suede, nubuck})",                     NULL                                },
    {SUBJECT_BEND,     "count edge.ply >= 2",                                                      NULL                                },
    {SUBJECT_BEND,     "count edge.ply where (ply.under) = 1",                                     NULL                                },
    {SUBJECT_BEND,     "sum edge.ply (ply.thickness) <= 3 mm",                                     NULL                                },
    {SUBJECT_BEND,     "most edge.ply (ply.thickness) - least edge.ply (ply.thickness) < 1 mm",    NULL                                },
    {SUBJECT_BEND,     "radius - (left - 1 mm) > 0 mm",                                            NULL                                },
    {SUBJECT_BEND,     "(radius - left) - 1 mm > 0 mm",                                            "radius - left - 1 mm > 0 mm"       },
    {SUBJECT_BEND,     "radius / (left / 2) > 1",                                                  NULL                                },
    {SUBJECT_BEND,     "-radius^2 < 0 mm*1mm",                                                     "-radius^2 < 0 mm * 1 mm"           },
    {SUBJECT_BEND,     "(-radius)^2 > 0 mm * 1 mm",                                                NULL                                },
    {SUBJECT_BEND,     "0 mm > - - radius",                                                        "0 mm > --radius"                   },
    {SUBJECT_BEND,     "2 * -radius < 0 mm",                                                       NULL                                },
    {SUBJECT_BEND,     "radius < left or radius < 1 mm and turn > 90 deg",                         NULL                                },
    {SUBJECT_BEND,     "(radius < left or radius < 1 mm) and turn > 90 deg",                       NULL                                },
    {SUBJECT_BEND,     "not (radius < left or turn > 90 deg)",                                     NULL                                },
    {SUBJECT_BEND,     "if curve is inward then radius > left else turn < turn_most",              NULL                                },
    {SUBJECT_BEND,     "(if curve is inward then radius else left) > 1 mm",                        NULL                                },
    {SUBJECT_BEND,
     "if curve is inward then if turn > 1 then radius > left else radius < left else left > 0 mm", NULL                                },
    {SUBJECT_BEND,     "min(radius, left) > max(1 mm, 2 mm)",                                      NULL                                },
    {SUBJECT_BEND,     "min(radius, left, arc) > 1 mm",                                            "min(min(radius, left), arc) > 1 mm"},
    {SUBJECT_BEND,     "sqrt(radius^2 + left^2) > abs(radius - left)",                             NULL                                },
    {SUBJECT_BEND,     "sin(turn / 2) + cos(turn) - tan(turn) * half < 22 %",                      NULL                                },
    {SUBJECT_BEND,     "turn > 90° and radius > 1 mm",                                            "turn > 90 deg and radius > 1 mm"   },
    {SUBJECT_BEND,     "atan2(radius, left) > 30 deg",                                             NULL                                },
    {SUBJECT_BEND,     "floor(radius / left) = round(1.5) or ceil(2.25) != 3",                     NULL                                },
    {SUBJECT_BEND,     "radius >= 3.5 oz",                                                         NULL                                },
    {SUBJECT_BEND,     "radius >= 0.000001 mm",                                                    NULL                                },
    {SUBJECT_BEND,     "radius * 4 /cm > 2",                                                       NULL                                },
    {SUBJECT_MATERIAL, "heat_limit - 5 K >= heat_most",                                            NULL                                },
    {SUBJECT_MATERIAL, "heat_limit - 95 °C >= 5 K",                                               NULL                                },
    {SUBJECT_MATERIAL, "heat_limit >= 95 degC",                                                    "heat_limit >= 95 °C"              },
    {SUBJECT_MATERIAL, "frays",                                                                    NULL                                },
    {SUBJECT_MATERIAL, "thickness >= fray_least",                                                  NULL                                },
    {SUBJECT_ROW,      "some machine (pitch in machine.pitch and stitch in machine.stitches)",     NULL                                },
    {SUBJECT_ROW,      "some machine (number in machine.rows and needle not in machine.needle)",   NULL                                },
    {SUBJECT_ROW,      "some machine ((2) in machine.rows)",                                       "some machine (2 in machine.rows)"  },
    {SUBJECT_ROW,      "some machine (number + 1 in machine.rows and needle > 3 in)",              NULL                                },
    {SUBJECT_ROW,      "every machine (machine.foot.lift > climb_most)",                           NULL                                },
    {SUBJECT_ROW,      "stitch is 301 and stitch in {301, 401}",                                   NULL                                },
    {SUBJECT_ROW,      "needle >= needle_for_thread(thread)",                                      NULL                                },
    {SUBJECT_ROW,      "needle >= 90 Nm and thread < 70 tex",                                      NULL                                },
    {SUBJECT_STYLE,    "every part (every part.edge (some edge.bend (bend.radius > 1 mm)))",       NULL                                },
    {SUBJECT_STYLE,    "every part (count part.edge > 0 and part.material.frays)",                 NULL                                },
};

static char *written(Kit *kit, const Rule *rule, const Formula *formula)
{
    Text text = {0};
    formula_write(&text, rule, formula);
    char *copy = arena_copy(&kit->arena, text_string(&text), text.length);
    text_free(&text);
    return copy;
}

static bool same_record(const RecordPath *a, const RecordPath *b)
{
    bool same = a->binding == b->binding && a->subject == b->subject && a->length == b->length;
    for (int i = 0; same && i < a->length; i++) {
        same = a->steps[i] == b->steps[i];
    }
    return same;
}

static bool same_tree(const Formula *a, const Formula *b)
{
    if (!a || !b) {
        return a == b;
    }
    bool same = a->kind == b->kind && a->number == b->number && a->unit == b->unit &&
                a->field == b->field && a->limit == b->limit && a->table == b->table &&
                a->power == b->power && a->words == b->words && a->negated == b->negated &&
                a->relation == b->relation && a->binding == b->binding && a->over == b->over &&
                a->under_some == b->under_some && a->function == b->function &&
                same_record(&a->record, &b->record) &&
                same_record(&a->own_record, &b->own_record) && a->type.kind == b->type.kind &&
                same_tree(a->filter, b->filter);
    for (int i = 0; same && i < 3; i++) {
        same = same_tree(a->operand[i], b->operand[i]);
    }
    return same;
}

static void test_accepted_and_written(void **state)
{
    (void)state;
    Kit kit = {0};
    assert_non_null(kit_read(&kit, NULL, NULL));
    for (size_t i = 0; i < sizeof accepted / sizeof *accepted; i++) {
        Rule *rule = kit_rule(&kit, accepted[i].about), *again = kit_rule(&kit, accepted[i].about);
        Formula *formula = kit_formula(&kit, rule, accepted[i].text);
        if (!formula) {
            print_error("%s\n", accepted[i].text);
            kit_fail(&kit);
        }
        assert_non_null(formula);
        assert_int_equal(formula->type.kind, TYPE_TRUTH);
        char *text = written(&kit, rule, formula);
        assert_string_equal(text, accepted[i].written ? accepted[i].written : accepted[i].text);
        Formula *read = kit_formula(&kit, again, text);
        assert_non_null(read);
        assert_true(same_tree(formula, read));
    }
    kit_end(&kit);
}

/* ---- random formulas, brackets wherever they may be ---- */

typedef struct Growing {
    Text *text;
    uint64_t seed;
} Growing;

static int pick(Growing *growing, int count)
{
    growing->seed = growing->seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (int)((growing->seed >> 33) % (uint64_t)count);
}

static void grow_truth(Growing *growing, int depth);

static void grow_length(Growing *growing, int depth)
{
    static const char *const leaves[] = {"radius", "left", "3.5 mm", "facet_most", "edge.length"};
    static const char *const signs[] = {" + ", " - ", " * half - ", " / 2 - 3 * ", " * turn + -"};
    static const char *const before[] = {"min(", "abs(-", "sqrt(1 mm * "};
    int kind = depth == 0 ? 0 : pick(growing, 6);
    if (kind == 0) {
        text_add(growing->text, leaves[pick(growing, 5)]);
    } else if (kind < 3) {
        grow_length(growing, depth - 1);
        text_add(growing->text, signs[pick(growing, 5)]);
        grow_length(growing, depth - 1);
    } else if (kind == 3) {
        text_add(growing->text, "(");
        grow_length(growing, depth - 1);
        text_add(growing->text, ")");
    } else if (kind == 4) {
        int call = pick(growing, 3);
        text_add(growing->text, before[call]);
        text_add(growing->text, call ? "(" : "");
        grow_length(growing, depth - 1);
        text_add(growing->text, call ? "))" : ", left)");
    } else {
        text_add(growing->text, "(if ");
        grow_truth(growing, depth - 1);
        text_add(growing->text, " then ");
        grow_length(growing, depth - 1);
        text_add(growing->text, " else radius)");
    }
}

static void grow_truth(Growing *growing, int depth)
{
    static const char *const leaves[] = {"edge.over", "curve is inward",
                                         "edge.finish not in {raw, turned}",
                                         "some edge.ply (ply.under)"};
    static const char *const signs[] = {" < ", " >= ", " = ", " != "};
    int kind = depth == 0 ? 0 : pick(growing, 6);
    if (kind == 0) {
        text_add(growing->text, leaves[pick(growing, 4)]);
    } else if (kind == 1) {
        grow_length(growing, depth - 1);
        text_add(growing->text, signs[pick(growing, 4)]);
        grow_length(growing, depth - 1);
    } else if (kind < 4) {
        grow_truth(growing, depth - 1);
        text_add(growing->text, pick(growing, 2) ? " and " : " or ");
        grow_truth(growing, depth - 1);
    } else {
        text_add(growing->text, kind == 4 ? "not (" : "(if edge.over then edge.under else ");
        grow_truth(growing, depth - 1);
        text_add(growing->text, ")");
    }
}

static void test_random_formulas_read_back(void **state)
{
    (void)state;
    Text text = {0};
    Growing growing = {&text, 1};
    size_t nodes = 0;
    for (int i = 0; i < 1500; i++) {
        Kit kit = {0};
        text_clear(&text);
        grow_truth(&growing, 1 + i % 5);
        assert_non_null(kit_read(&kit, NULL, NULL));
        Rule *rule = kit_rule(&kit, SUBJECT_BEND), *again = kit_rule(&kit, SUBJECT_BEND);
        Formula *formula = kit_formula(&kit, rule, text_string(&text));
        Formula *read = formula ? kit_formula(&kit, again, written(&kit, rule, formula)) : NULL;
        if (!formula || !read || !same_tree(formula, read)) {
            print_error("%s\n", text_string(&text));
            kit_fail(&kit);
        }
        assert_true(formula && read && same_tree(formula, read));
        nodes += rule->formula_nodes;
        kit_end(&kit);
    }
    text_free(&text);
    assert_true(nodes > 10000);
}

/* Every formula of the rules that are shipped, written, read and written again. */
static void test_shipped_formulas_read_back(void **state)
{
    (void)state;
    Kit kit = {0};
    const char *const *paths;
    size_t count, formulas = 0;
    assert_true(rules_in_folder(&kit.arena, "rules/base", &paths, &count, &kit.messages));
    kit.set = rules_read(paths, count, NULL, &kit.messages);
    assert_non_null(kit.set);
    for (size_t i = 0; i < kit.set->rule_count; i++) {
        Rule again = *kit.set->rules[i];
        const Formula *read[] = {again.when, again.require};
        for (int k = 0; k < 2; k++) {
            if (!read[k]) {
                continue;
            }
            char *text = written(&kit, &again, read[k]);
            char *quoted = arena_printf(&kit.arena, "\"%s\"", text);
            again.formula_nodes = 0;
            Formula *formula = kit_formula(&kit, &again, quoted);
            assert_non_null(formula);
            assert_string_equal(written(&kit, &again, formula), text);
            formulas++;
        }
    }
    assert_true(formulas >= kit.set->rule_count && formulas > 30);
    kit_end(&kit);
}

typedef struct Refused {
    Subject about;
    const char *text;
    int column;          /* in the formula, from 1 */
    const char *message; /* a part of it */
} Refused;

static const Refused refused[] = {
    {SUBJECT_BEND,     "radius >=",                                                              10, "a value is expected here, found the end"           },
    {SUBJECT_BEND,     "radius >= 3 mm)",                                                        15, "an operator or the end is expected here, found `)`"},
    {SUBJECT_BEND,     "(radius >= 3 mm",                                                        16, "`)` is expected here"                              },
    {SUBJECT_BEND,     "radius == 3 mm",                                                         8,  "one ="                                             },
    {SUBJECT_BEND,     "edge.over & edge.under",                                                 11, "write and"                                         },
    {SUBJECT_BEND,     "edge.over && edge.under",                                                11, "write and"                                         },
    {SUBJECT_BEND,     "(edge.over || edge.under)",                                              12, "write or"                                          },
    {SUBJECT_BEND,     "edge.over and !edge.under",                                              15, "write not"                                         },
    {SUBJECT_BEND,     "radius =< 3 mm",                                                         8,  "write <="                                          },
    {SUBJECT_BEND,     "radius => 3 mm",                                                         8,  "write >="                                          },
    {SUBJECT_BEND,     "radius <> 3 mm",                                                         8,  "write !="                                          },
    {SUBJECT_BEND,     "radius ≥ 3 mm",                                                         8,  "write >="                                          },
    {SUBJECT_BEND,     "radius <= = 3 mm",                                                       11, "a value is expected here"                          },
    {SUBJECT_ROW,      "does = topstitch",                                                       8,
     "words are compared with `is`: does is topstitch"                                                                                                   },
    {SUBJECT_ROW,      "stitch != 301",                                                          11, "stitch is not 301"                                 },
    {SUBJECT_BEND,     "curve is concave",                                                       10, "write inward (hollow)"                             },
    {SUBJECT_BEND,     "radius >= 3",                                                            11, "the unit is missing, such as 3 mm"                 },
    {SUBJECT_BEND,     "radius >= 3 mmm",                                                        13, "mmm is no unit"                                    },
    {SUBJECT_BEND,     "radius >= 3mmm",                                                         12, "mmm is no unit"                                    },
    {SUBJECT_BEND,     "turn >= 1,5",                                                            10, "written 1.5"                                       },
    {SUBJECT_BEND,     "radius >= 010 mm",                                                       11, "write 10"                                          },
    {SUBJECT_BEND,     "radius in {raw}",                                                        1,  "only words"                                        },
    {SUBJECT_BEND,     "radius >= 1e3 mm",                                                       11, "1e3"                                               },
    {SUBJECT_BEND,     "radius >= 90 °C",                                                       11, "cannot compare: a length and a temperature"        },
    {SUBJECT_BEND,     "radiis >= 3 mm",                                                         1,  "did you mean radius?"                              },
    {SUBJECT_BEND,     "edge.finsh is raw",                                                      6,  "did you mean finish?"                              },
    {SUBJECT_BEND,     "edge.finish is tuned",                                                   16, "did you mean turned?"                              },
    {SUBJECT_BEND,     "edge.finish is",                                                         15, "a word is expected"                                },
    {SUBJECT_BEND,     "edge.finish in {raw",                                                    20, "`}`"                                               },
    {SUBJECT_BEND,     "edge.finish = turned",                                                   15, "edge.finish is turned"                             },
    {SUBJECT_BEND,     "edge.finish = edge.finish",                                              1,  "`is` and `in`"                                     },
    {SUBJECT_BEND,     "radius is turned",                                                       1,  "only words"                                        },
    {SUBJECT_BEND,     "edge.over is turned",                                                    1,  "a truth stands by itself"                          },
    {SUBJECT_BEND,     "edge.over = edge.under",                                                 1,  "a truth stands by itself"                          },
    {SUBJECT_BEND,     "radius < left < arc",                                                    15, "an operator or the end"                            },
    {SUBJECT_BEND,     "radius and edge.over",                                                   1,  "must be a truth; this is a length"                 },
    {SUBJECT_BEND,     "edge.over or radius",                                                    14, "must be a truth; this is a length"                 },
    {SUBJECT_BEND,     "not radius",                                                             5,  "must be a truth"                                   },
    {SUBJECT_BEND,     "radius + turn > 1 mm",                                                   10, "cannot add: a length and a plain number"           },
    {SUBJECT_BEND,     "radius - edge.over > 1 mm",                                              10, "must be a number; this is a truth"                 },
    {SUBJECT_BEND,     "radius * left > 1 mm",                                                   17, "cannot compare: an area and a length"              },
    {SUBJECT_BEND,     "sqrt(radius) > 1",                                                       6,  "no square root"                                    },
    {SUBJECT_BEND,     "sin(radius) > 1",                                                        5,  "must be a plain number; this is a length"          },
    {SUBJECT_BEND,     "floor(radius) > 1 mm",                                                   7,  "must be a plain number"                            },
    {SUBJECT_BEND,     "min(radius) > 1 mm",                                                     1,  "two to sixteen"                                    },
    {SUBJECT_BEND,     "max(1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18) > 1", 1,
     "two to sixteen"                                                                                                                                    },
    {SUBJECT_BEND,     "abs(radius, left) > 1 mm",                                               1,  "abs takes one argument"                            },
    {SUBJECT_BEND,     "min(radius, turn) > 1 mm",                                               13, "cannot compare"                                    },
    {SUBJECT_BEND,     "sqr(radius) > 1 mm",                                                     1,  "did you mean sqrt?"                                },
    {SUBJECT_BEND,     "radius^10 > 1 mm",                                                       8,  "one digit"                                         },
    {SUBJECT_BEND,     "radius^left > 1 mm",                                                     8,  "one digit"                                         },
    {SUBJECT_BEND,     "if edge.over then radius else turn",                                     31, "both branches must be alike"                       },
    {SUBJECT_BEND,     "if radius then edge.over else edge.over",                                4,  "must be a truth"                                   },
    {SUBJECT_BEND,     "if edge.over then radius > left",                                        32, "`else`"                                            },
    {SUBJECT_BEND,     "radius > if edge.over then left else arc",                               10, "`if` in brackets"                                  },
    {SUBJECT_BEND,     "edge > 3 mm",                                                            1,  "edge is a record, not a value"                     },
    {SUBJECT_BEND,     "edge.ply.thickness > 3 mm",                                              6,  "edge has many ply"                                 },
    {SUBJECT_BEND,     "every edge (edge.over)",                                                 7,  "not a set"                                         },
    {SUBJECT_BEND,     "every edge.ply ply.thickness > 1 mm",                                    16, "`(`"                                               },
    {SUBJECT_BEND,     "every edge.ply (ply.thickness)",                                         16, "must be a truth; this is a length"                 },
    {SUBJECT_BEND,     "sum edge.ply (ply.under) > 1",                                           14, "must be a number"                                  },
    {SUBJECT_BEND,     "every edge.ply where (ply.thickness) (ply.under)",                       22,
     "a filter must be a truth"                                                                                                                          },
    {SUBJECT_BEND,     "bend.radius > 3 mm",                                                     1,  "write radius"                                      },
    {SUBJECT_BEND,     "facet_most.x > 3 mm",                                                    12, "is a limit and has no parts"                       },
    {SUBJECT_BEND,     "radius > clip_leest",                                                    10, "did you mean clip_least?"                          },
    {SUBJECT_MATERIAL, "thickness > facet_most",                                                 13,
     "goes by edge.sight, and no edge can be told here"                                                                                                  },
    {SUBJECT_BEND,     "edge.part.sheet is raw",                                                 1,  "text or a name"                                    },
    {SUBJECT_MATERIAL, "heat_limit + 95 °C > 5 K",                                              14, "cannot add two temperatures"                       },
    {SUBJECT_MATERIAL, "heat_limit * 2 > 5 K",                                                   1,  "must not be a temperature"                         },
    {SUBJECT_MATERIAL, "-heat_limit < 5 K",                                                      2,  "must not be a temperature"                         },
    {SUBJECT_MATERIAL, "5 K - heat_limit < 5 K",                                                 7,
     "cannot subtract a temperature from a difference"                                                                                                   },
    {SUBJECT_MATERIAL, "heat_limit > 5 K",                                                       14, "a temperature and a temperature difference"        },
    {SUBJECT_STYLE,    "sum material (material.heat_limit) > 5 °C",                             14, "cannot be summed"                                  },
    {SUBJECT_ROW,      "some machine (machine.pitch > 3 mm)",                                    15, "stands after `in`"                                 },
    {SUBJECT_ROW,      "some machine (needle in machine.thread)",                                25, "what is looked for is a length"                    },
    {SUBJECT_ROW,      "some machine (stitch in machine.rows)",                                  25, "holds a plain number"                              },
    {SUBJECT_ROW,      "pitch in needle",                                                        10, "after `in` stands a range"                         },
    {SUBJECT_ROW,      "needle > needle_for_thread(pitch)",                                      28,
     "goes by a thread size; this is a length"                                                                                                           },
    {SUBJECT_ROW,      "needle > needle_for_thread(thread, thread)",                             10, "one argument"                                      },
    {SUBJECT_STYLE,
     "every part (every part.edge (every edge.bend (every bend.edge.ply (ply.under))))",         47,
     "3 deep"                                                                                                                                            },
};

static void test_refused_at_their_place(void **state)
{
    (void)state;
    Kit kit = {0};
    assert_non_null(kit_read(&kit, NULL, NULL));
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        Formula *formula = kit_formula(&kit, kit_rule(&kit, refused[i].about), refused[i].text);
        if (formula || kit.messages.count != 1) {
            print_error("not refused once: %s\n", refused[i].text);
        }
        assert_null(formula);
        const Message *message = kit_message(&kit);
        if (!strstr(message->text, refused[i].message) ||
            message->at.column != refused[i].column + 3) {
            print_error("%s\n  column %d: %s\n", refused[i].text, message->at.column - 3,
                        message->text);
        }
        assert_non_null(strstr(message->text, refused[i].message));
        assert_int_equal(message->at.column, refused[i].column + 3);
        kit_forget(&kit);
    }
    kit_end(&kit);
}

/* In quotes the column still counts; after an escape the message counts itself. */
static void test_columns_in_quotes(void **state)
{
    (void)state;
    Kit kit = {0};
    assert_non_null(kit_read(&kit, NULL, NULL));
    assert_null(kit_formula(&kit, kit_rule(&kit, SUBJECT_BEND), "'radius >= 3'"));
    assert_int_equal(kit_message(&kit)->at.column, 3 + 1 + 11);
    kit_forget(&kit);
    assert_null(kit_formula(&kit, kit_rule(&kit, SUBJECT_BEND), "\"\\x72adius >= 3\""));
    assert_int_equal(kit_message(&kit)->at.column, 4);
    assert_non_null(strstr(kit_message(&kit)->text, "character 11 of the formula"));
    kit_end(&kit);
}

static char *repeated(Kit *kit, const char *before, const char *piece, int times, const char *after)
{
    Text text = {0};
    text_add(&text, before);
    for (int i = 0; i < times; i++) {
        text_add(&text, piece);
    }
    text_add(&text, after);
    char *copy = arena_copy(&kit->arena, text_string(&text), text.length);
    text_free(&text);
    return copy;
}

static void refuse_long(Kit *kit, const char *text, const char *message)
{
    assert_null(kit_formula(kit, kit_rule(kit, SUBJECT_BEND), text));
    assert_non_null(strstr(kit_message(kit)->text, message));
    kit_forget(kit);
}

static void test_bounds(void **state)
{
    (void)state;
    Kit kit = {0};
    assert_non_null(kit_read(&kit, NULL, NULL));
    char *brackets = repeated(&kit, "", "(", 63, "radius > left");
    brackets = repeated(&kit, brackets, ")", 63, "");
    assert_non_null(kit_formula(&kit, kit_rule(&kit, SUBJECT_BEND), brackets));
    refuse_long(&kit, repeated(&kit, "", "(", 64, "radius > left"), "more than 64 deep");
    refuse_long(&kit, repeated(&kit, "", "(", 60000, ""), "more than 64 deep");
    refuse_long(&kit, repeated(&kit, "", "not ", 15000, "edge.over"), "more than 64 deep");
    refuse_long(&kit, repeated(&kit, "", "-", 60000, "radius < left"), "more than 64 deep");
    refuse_long(&kit, repeated(&kit, "", "if ", 20000, ""), "more than 64 deep");
    refuse_long(&kit, repeated(&kit, "edge.over", " or edge.over", 1100, ""),
                "limited to 2000 parts");
    refuse_long(&kit, repeated(&kit, "edge.over", " and count edge.ply > 0", 40, ""),
                "at most 15 sets");
    refuse_long(&kit, repeated(&kit, "radius", ".edge", 9, " > 0"), "at most 8 names");
    refuse_long(&kit, "((radius^9)^9)^9 > left", "too high a power");
    kit_end(&kit);
}

static void test_nearest_record_of_a_limit(void **state)
{
    (void)state;
    Kit kit = {0};
    assert_non_null(kit_read(&kit, NULL, NULL));
    Rule *rule = kit_rule(&kit, SUBJECT_PART);
    Formula *outer = kit_formula(&kit, rule, "clip_least > 1 mm");
    assert_int_equal(outer->operand[0]->record.length, 1);
    assert_int_equal(outer->operand[0]->record.subject, SUBJECT_MATERIAL);
    rule = kit_rule(&kit, SUBJECT_EDGE);
    Formula *inner = kit_formula(&kit, rule, "every ply (clip_least > facet_most)");
    const Formula *test = inner->operand[0];
    assert_int_equal(test->operand[0]->record.binding, 1);
    assert_int_equal(test->operand[0]->record.length, 1);
    assert_int_equal(test->operand[1]->record.binding, 0);
    assert_int_equal(test->operand[1]->record.length, 0);
    assert_int_equal(rule->limit_count, 2);
    assert_true(rule->has_sets);
    kit_end(&kit);
}

static void test_sets_under_some(void **state)
{
    (void)state;
    Kit kit = {0};
    assert_non_null(kit_read(&kit, NULL, NULL));
    Rule *rule = kit_rule(&kit, SUBJECT_BEND);
    Formula *some = kit_formula(&kit, rule, "some edge.ply (count edge.seam > 0)");
    assert_true(some->under_some);
    assert_true(some->operand[0]->operand[0]->under_some);
    assert_false(rule->has_sets);
    Formula *every = kit_formula(&kit, rule, "every edge.ply (some edge.seam (seam.inside))");
    assert_false(every->under_some);
    assert_true(every->operand[0]->under_some);
    assert_true(rule->has_sets);
    kit_end(&kit);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_accepted_and_written),
        cmocka_unit_test(test_random_formulas_read_back),
        cmocka_unit_test(test_shipped_formulas_read_back),
        cmocka_unit_test(test_refused_at_their_place),
        cmocka_unit_test(test_columns_in_quotes),
        cmocka_unit_test(test_bounds),
        cmocka_unit_test(test_nearest_record_of_a_limit),
        cmocka_unit_test(test_sets_under_some),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
