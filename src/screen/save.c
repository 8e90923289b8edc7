/* Writing the changed values into the style's file, and what to do when that fails;
 * opening the file in an editor. For the table of keys. */
#include "style/save.h"

#include <string.h>
#include <unistd.h>

#include "screen/view_inside.h"

static void show_messages(View *view, const char *title, const char *first,
                          const Messages *messages)
{
    Text text = {0};
    view_messages(&text, messages);
    text_clear(&view->page_text.text);
    text_addf(&view->page_text.text, "%s\n\n%s\n", first, text_string(&text));
    text_free(&text);
    text_page_open(view, title, NULL);
}

/* ---- After it ---- */

static void open_editor(View *view)
{
    view->wish = WISH_EDIT;
}

static void go_on(View *view)
{
    if (view->leaves)
        view->left = true;
    else if (view->saving_to_edit)
        open_editor(view);
    view->leaves = view->saving_to_edit = false;
}

static void show_unread(View *view, const Messages *messages)
{
    show_messages(view, "The file cannot be read as it stands",
                  "What was read before is still shown. e opens the file again.", messages);
}

/* After somebody else wrote it: changes made here are none any more, and what the others
 * made better and worse is said by name. */
static void read_again(View *view, const char *said)
{
    Messages messages = {0};
    bool good = review_reread(view->review, &messages);
    view_rebuild(view);
    if (good)
        compared_say(view, said);
    else
        show_unread(view, &messages);
    messages_free(&messages);
}

/* After review_save() wrote the file, which may not read as it should. */
static void saved(View *view, FileSaved how, size_t count, const Messages *messages)
{
    if (messages->errors > 0 && how == FILE_SAVED) {
        show_unread(view, messages);
        return;
    }
    Text text = {0};
    const char *file = review_files(view->review)->style;
    text_addf(&text, "saved: %zu value%s in ", count, count == 1 ? "" : "s");
    text_add_visible(&text, file, strlen(file));
    if (how == FILE_UNSURE) {
        text_add(&text, "\n");
        view_messages(&text, messages);
    }
    view_say(view, "%s", text_string(&text));
    go_on(view);
    text_free(&text);
}

/* ---- Changed on the disk ---- */

/* "styles/skerry.changed.yaml", or with a number where that is taken. */
static const char *beside_name(Arena *arena, const char *file)
{
    const char *point = strrchr(file, '.'), *slash = strrchr(file, '/');
    size_t stem = point != NULL && (slash == NULL || point > slash) ? (size_t)(point - file)
                                                                    : strlen(file);
    const char *name = arena_printf(arena, "%.*s.changed%s", (int)stem, file, file + stem);
    for (int i = 2; i < 100 && access(name, F_OK) == 0; i++)
        name = arena_printf(arena, "%.*s.changed-%d%s", (int)stem, file, i, file + stem);
    return name;
}

/* The name of the file that was written; NULL with messages. */
static const char *write_beside(View *view, Arena *arena, Messages *messages)
{
    Text text = {0};
    const char *name = beside_name(arena, review_files(view->review)->style);
    bool written = review_text(view->review, &text, messages) &&
                   file_create(name, text_string(&text), text.length, messages);
    text_free(&text);
    return written ? name : NULL;
}

static void save_beside(View *view)
{
    Arena arena = {0};
    Messages messages = {0};
    const char *name = write_beside(view, &arena, &messages);
    if (name != NULL)
        view_say(view, "saved beside it as %s; the changes are still unsaved here", name);
    else
        show_messages(view, "Not saved", "Nothing was written.", &messages);
    if (name != NULL && view->leaves)
        view->left = true;
    messages_free(&messages);
    arena_free(&arena);
}

void view_abandon(View *view, Messages *messages)
{
    const Changed *changes;
    Arena arena = {0};
    if (view_left(view) || review_changed(view->review, &changes) == 0)
        return;
    const char *file = review_files(view->review)->style;
    const char *name = write_beside(view, &arena, messages);
    if (name != NULL)
        message_notice(messages, (Where){file, 0, 0}, "the changes were kept in %s", name);
    else
        message_error(messages, (Where){file, 0, 0}, "the changes could not be kept");
    arena_free(&arena);
}

static void take_changed(View *view, size_t item)
{
    if (item == 0)
        save_beside(view);
    else if (item == 1)
        read_again(view, "read again; the changes made here were dropped");
    view->leaves = view->saving_to_edit = false;
}

static void ask_changed(View *view)
{
    menu_open(view, "Somebody else changed the file: nothing was written", take_changed);
    menu_add(view, "save beside it", "the file as it was read, with the changes made here", false);
    menu_add(view, "read it again", "the changes made here are dropped", false);
    menu_add(view, "leave all as it is", NULL, false);
}

/* ---- Saving ---- */

static void say_unsaved(View *view, FileSaved how, const Messages *messages)
{
    if (how == FILE_CHANGED) {
        ask_changed(view);
        return;
    }
    show_messages(view, "Not saved", "The file is as it was; the changes are still here.",
                  messages);
    view->leaves = view->saving_to_edit = false;
}

void save_open(View *view)
{
    Messages messages = {0};
    const Changed *changes;
    size_t count = review_changed(view->review, &changes);
    if (count == 0) {
        view_say(view, "nothing to save here: %zu laid aside for another alternative",
                 review_aside(view->review));
        view->leaves = view->saving_to_edit = false;
        return;
    }
    FileSaved how = review_save(view->review, &messages);
    view_rebuild(view);
    if (how == FILE_SAVED || how == FILE_UNSURE)
        saved(view, how, count, &messages);
    else
        say_unsaved(view, how, &messages);
    messages_free(&messages);
}

static void take_leaving(View *view, size_t item)
{
    view->leaves = item == 0;
    if (item == 0)
        save_open(view);
    else if (item == 1)
        view->left = true;
}

void save_then_leave(View *view)
{
    const Changed *changes;
    size_t count = review_changed(view->review, &changes) + review_aside(view->review);
    menu_open(view, "", take_leaving);
    view->menu.title = arena_printf(&view->menu.arena, "%zu change%s not saved", count,
                                    count == 1 ? " is" : "s are");
    menu_add(view, "save and leave", NULL, false);
    menu_add(view, "leave without saving", "the changes are lost", false);
    menu_add(view, "stay", NULL, false);
}

/* ---- The editor ---- */

static void take_editing(View *view, size_t item)
{
    view->saving_to_edit = item == 0;
    if (item == 0)
        save_open(view);
    else if (item == 1)
        open_editor(view);
}

void edit_open(View *view)
{
    const Finding *finding = view_finding(view);
    Where at = {review_files(view->review)->style, 1, 1};
    if (finding != NULL && finding->at.file != NULL)
        at = finding->at;
    if (view->changing && view->choices[view->choice].at.file != NULL)
        at = view->choices[view->choice].at;
    view->wish_file = arena_copy(&view->arena, at.file, strlen(at.file));
    view->wish_line = at.line;
    if (!change_any(view)) {
        open_editor(view);
        return;
    }
    menu_open(view, "There are changes that are not saved", take_editing);
    menu_add(view, "save them, then edit", NULL, false);
    menu_add(view, "edit; drop them", "the file is read again afterwards", false);
    menu_add(view, "stay", NULL, false);
}

void view_edited(View *view, const char *problem)
{
    if (problem != NULL)
        view_trouble(view, "%s", problem);
    else
        read_again(view, "the file was read again");
}
