/* Styles by factories: each judged with what it shares with the others. For check and report. */
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/cli.h"

static size_t count_styles(const Options *options)
{
    size_t count = 0;
    for (size_t i = 0; i < options->word_count; i++)
        count += !log_is_name(options->words[i]);
    return count;
}

/* A pattern such as *.yaml names the logs beside the styles too. */
static bool pass_over(const char *word, size_t styles, Messages *messages)
{
    if (styles == 0 || !log_is_name(word))
        return false;
    message_notice(messages, (Where){word, 0, 0}, "a decision log is read with its style");
    return true;
}

/* Decisions and tables go by a factory's name. */
static bool read_shops(const Options *options, Cases *cases, Messages *messages)
{
    const NameList *names = &options->factories;
    cases->factory_count = names->count > 0 ? names->count : 1;
    cases->shops = memory_new(cases->factory_count, sizeof *cases->shops);
    bool good = true;
    for (size_t f = 0; f < cases->factory_count && good; f++) {
        Case *shop = &cases->shops[f];
        good = case_shop(options, names->count > 0 ? names->items[f] : NULL, shop, messages);
        for (size_t i = 0; i < f && good; i++) {
            const Factory *other = cases->shops[i].factory;
            good = strcmp(other->name, shop->factory->name) != 0;
            if (!good)
                message_error_two(messages, (Where){shop->factory->file->path, 0, 0},
                                  (Where){other->file->path, 0, 0},
                                  "two factories have the name %s", quoted(other->name).text);
        }
    }
    return good;
}

static void judge_at(const Options *options, Cases *cases, size_t style, size_t shop)
{
    size_t at = style * cases->factory_count + shop;
    Case *cell = &cases->cells[at];
    const Case *of = &cases->styles[style], *by = &cases->shops[shop];
    cell->shelf = judge_shelf_new();
    cell->judgement = judge_from_shelf(cell->shelf, of->style, by->rules, by->factory);
    cell->decisions = decisions_find(cell->judgement, of->log, options->today);
    cell->remedies = case_remedies(of, cell->judgement);
    cases->told[at] = (Told){cell->decisions, cell->remedies};
    int release = log_release(cell->decisions);
    if (release > cases->status)
        cases->status = release;
}

/* "check styles/skerry.yaml harbour" names a factory where a style is due. */
static void advise_factory(const Options *options, const char *word, Messages *messages)
{
    Arena arena = {0};
    Messages ignored = {0};
    const char *file = strpbrk(word, "./") == NULL
                           ? factory_file(&arena, word, rules_folder(&arena, options), &ignored)
                           : NULL;
    if (file != NULL && access(file, F_OK) == 0)
        message_notice(messages, (Where){file, 0, 0}, "a factory is named by --factory %s",
                       quoted(word).text);
    messages_free(&ignored);
    arena_free(&arena);
}

bool cases_read(const Options *options, Cases *cases, Messages *messages)
{
    *cases = (Cases){0};
    if (!read_shops(options, cases, messages)) {
        cases_free(cases);
        return false;
    }
    size_t named = count_styles(options), most = options->word_count;
    cases->styles = memory_new(most, sizeof *cases->styles);
    cases->cells = memory_new(most * cases->factory_count, sizeof *cases->cells);
    cases->told = memory_new(most * cases->factory_count, sizeof *cases->told);
    for (size_t i = 0; i < options->word_count; i++) {
        const char *path = options->words[i];
        Case *style = &cases->styles[cases->style_count];
        if (pass_over(path, named, messages))
            continue;
        if (!case_read(options, path, style, messages) || !case_log(path, style, messages)) {
            case_free(style);
            advise_factory(options, path, messages);
            cases->status = EXIT_INPUT;
            continue;
        }
        for (size_t f = 0; f < cases->factory_count; f++)
            judge_at(options, cases, cases->style_count, f);
        cases->style_count++;
    }
    return true;
}

static void free_all(Case *items, size_t count)
{
    for (size_t i = 0; i < count; i++)
        case_free(&items[i]);
    free(items);
}

void cases_free(Cases *cases)
{
    free(cases->told);
    free_all(cases->cells, cases->style_count * cases->factory_count);
    free_all(cases->styles, cases->style_count);
    free_all(cases->shops, cases->factory_count);
    *cases = (Cases){0};
}
