/* Finding and reading what a command works on: rules, factory, style. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli/cli.h"

static bool is_folder(const char *path)
{
    struct stat info;
    return stat(path, &info) == 0 && S_ISDIR(info.st_mode);
}

/* As seen from the working folder where it lies below it: messages stay short. */
static const char *from_here(Arena *arena, const char *path)
{
    char here[4096];
    if (getcwd(here, sizeof here) == NULL)
        return path;
    size_t length = strlen(here);
    if (strncmp(path, here, length) != 0 || path[length] != '/')
        return path;
    return arena_copy(arena, path + length + 1, strlen(path) - length - 1);
}

/* The folder rules/ beside the one the program stands in (build/), or NULL. */
static const char *beside_program(Arena *arena)
{
    char path[4096];
    ssize_t length = readlink("/proc/self/exe", path, sizeof path - 1);
    if (length <= 0)
        return NULL;
    path[length] = '\0';
    for (int up = 0; up < 2; up++) {
        char *slash = strrchr(path, '/');
        if (slash == NULL)
            return NULL;
        *slash = '\0';
    }
    return from_here(arena, arena_printf(arena, "%s/rules", path));
}

const char *rules_folder(Arena *arena, const Options *options)
{
    const char *named = options->rules != NULL ? options->rules : getenv("CORDWAIN_RULES");
    if (named != NULL && *named != '\0')
        return named;
    const char *beside = beside_program(arena);
    if (beside != NULL && is_folder(beside))
        return beside;
    return CORDWAIN_DATA "/rules";
}

const char *factory_file(Arena *arena, const char *name, const char *folder, Messages *messages)
{
    if (strchr(name, '/') != NULL || strchr(name, '.') != NULL || strcmp(name, "-") == 0)
        return name;
    const char *path = arena_printf(arena, "%s/factories/%s.yaml", folder, name);
    if (access(path, F_OK) == 0)
        return path;
    const char *const *known = NULL;
    size_t count = 0;
    const char *factories = arena_printf(arena, "%s/factories", folder);
    Text list = {0};
    Messages ignored = {0};
    if (rules_in_folder(arena, factories, &known, &count, &ignored)) {
        for (size_t i = 0; i < count; i++) {
            const char *file = strrchr(known[i], '/');
            file = file != NULL ? file + 1 : known[i];
            text_addf(&list, "%s%.*s", i > 0 ? ", " : "", (int)strcspn(file, "."), file);
        }
    }
    message_error(messages, (Where){factories, 0, 0},
                  "there is no factory %s here; known are %s; a file is named with its ending .yaml",
                  name, list.length > 0 ? list.bytes : "none");
    messages_free(&ignored);
    text_free(&list);
    return NULL;
}

bool case_shop(const Options *options, const char *factory, Case *loaded, Messages *messages)
{
    Arena arena = {0};
    const char *folder = rules_folder(&arena, options);
    const char *base = arena_printf(&arena, "%s/base", folder);
    const char *const *paths;
    size_t count;
    bool good = rules_in_folder(&arena, is_folder(base) ? base : folder, &paths, &count, messages);
    if (good && factory != NULL) {
        const char *file = factory_file(&arena, factory, folder, messages);
        loaded->factory = file != NULL ? factory_read(file, messages) : NULL;
        good = loaded->factory != NULL;
    }
    if (good)
        loaded->rules = rules_read(paths, count, loaded->factory, messages);
    arena_free(&arena);
    return good && loaded->rules != NULL;
}

bool case_rules(const Options *options, Case *loaded, Messages *messages)
{
    return case_shop(options, options->factory, loaded, messages);
}

/* --stage is one changed value over the style as read. */
static bool stage_patch(Arena *arena, const Options *options, Patch *patch, Messages *messages)
{
    const char *stage = options->stage;
    YamlFile *word = yaml_read_bytes(arena, "--stage", stage, strlen(stage), false, messages);
    if (word == NULL)
        return false;
    *patch = (Patch){"stage", word->root, word->root};
    return true;
}

bool case_read(const Options *options, const char *path, Case *loaded, Messages *messages)
{
    if (options->stage != NULL) {
        Patch *patch = ARENA_NEW(&loaded->arena, Patch, 1);
        if (!stage_patch(&loaded->arena, options, patch, messages))
            return false;
        loaded->patches = patch;
        loaded->patch_count = 1;
    }
    loaded->style = style_read(path, options->alternative, loaded->patches, loaded->patch_count,
                               messages);
    return loaded->style != NULL;
}

bool case_style(const Options *options, const char *path, Case *loaded, Messages *messages)
{
    if (!case_read(options, path, loaded, messages))
        return false;
    loaded->shelf = judge_shelf_new();
    loaded->judgement =
        judge_from_shelf(loaded->shelf, loaded->style, loaded->rules, loaded->factory);
    return true;
}

bool case_log(const char *path, Case *loaded, Messages *messages)
{
    const char *log = log_path(&loaded->arena, path), *code = loaded->style->code;
    if (log != NULL && (loaded->log = log_read(log, messages)) == NULL)
        return false;
    if (log != NULL && loaded->log->exists && strcmp(loaded->log->code, code) != 0)
        message_notice(messages, (Where){log, 0, 0},
                       "this is the log of the style %s, not of %s: none of its decisions counts",
                       quoted(loaded->log->code).text, quoted(code).text);
    return true;
}

Remedies *case_remedies(const Case *style, const Judgement *judgement)
{
    RemedyGround ground = {.file = style->style->file,
                           .alternative = style->style->alternative,
                           .patches = style->patches,
                           .patch_count = style->patch_count,
                           .judgement = judgement};
    return remedies_new(&ground);
}

void case_free(Case *loaded)
{
    if (loaded->remedies != NULL)
        remedies_free(loaded->remedies);
    decisions_free(loaded->decisions);
    log_free(loaded->log);
    if (loaded->judgement != NULL)
        judgement_free(loaded->judgement);
    judge_shelf_free(loaded->shelf);
    if (loaded->style != NULL)
        style_free(loaded->style);
    if (loaded->rules != NULL)
        rules_free(loaded->rules);
    if (loaded->factory != NULL)
        factory_free(loaded->factory);
    arena_free(&loaded->arena);
    *loaded = (Case){0};
}

int finish(Messages *messages, int status)
{
    messages_write(messages, stderr);
    messages_free(messages);
    return status;
}

int print_all(const Text *text, int status)
{
    size_t length = text->length;
    if ((length > 0 && fwrite(text->bytes, 1, length, stdout) != length) || fflush(stdout) != 0) {
        fprintf(stderr, "cordwain: cannot write the output: %s\n", strerror(errno));
        return EXIT_INPUT;
    }
    return status;
}
