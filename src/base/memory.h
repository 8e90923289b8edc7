/* Memory that is never NULL, and arenas freed whole. For everyone.
 *
 * Running out of memory ends the program in one place, out_of_memory(): it
 * says so on stderr and calls exit(2), so that handlers registered with
 * atexit() (the screen's) give the terminal back. Nothing is half-written at
 * that point because files are only ever replaced by rename. */
#ifndef CORDWAIN_BASE_MEMORY_H
#define CORDWAIN_BASE_MEMORY_H

#include <stdarg.h>
#include <stddef.h>

_Noreturn void out_of_memory(void);

/* Zeroed memory for `count` things of `size` bytes; never NULL; count 0 gives
 * a valid pointer. Overflow of the product counts as out of memory. */
void *memory_new(size_t count, size_t size);
/* As realloc for `count` things of `size` bytes; new bytes are not zeroed. */
void *memory_grow(void *old, size_t count, size_t size);

/* An arena owns everything allocated from it; arena_free() frees it whole and
 * leaves it empty and usable. A zeroed Arena is an empty one. */
typedef struct ArenaBlock ArenaBlock;
typedef struct Arena {
    ArenaBlock *block; /* newest first */
} Arena;

/* Zeroed, aligned for any type, owned by the arena. */
void *arena_alloc(Arena *arena, size_t count, size_t size);
/* The same, but not zeroed: for what is filled at once. */
void *arena_alloc_unset(Arena *arena, size_t count, size_t size);
/* A NUL-terminated copy of the `length` bytes at `text`. */
char *arena_copy(Arena *arena, const char *text, size_t length);
char *arena_printf(Arena *arena, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
void arena_free(Arena *arena);

#define ARENA_NEW(arena, type, count) ((type *)arena_alloc((arena), (count), sizeof(type)))

/* Makes room for one more item in a growing arena array (old copies stay in
 * the arena until it is freed). `items` is a pointer lvalue. */
#define ARENA_PUSH(arena, items, count, capacity)                                      \
    ((items) = arena_room((arena), (items), (count), &(capacity), sizeof *(items)),    \
     &(items)[(count)++])
void *arena_room(Arena *arena, void *items, size_t count, size_t *capacity, size_t size);

#endif
