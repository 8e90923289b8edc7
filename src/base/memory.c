/* Memory that is never NULL, and arenas freed whole. For everyone; nobody else
 * in the program calls malloc and its kin. */
#include "base/memory.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK_BYTES = 16 << 10 };

struct ArenaBlock {
    ArenaBlock *next;
    size_t used, size;
    max_align_t bytes[];
};

_Noreturn void out_of_memory(void)
{
    fputs("cordwain: out of memory\n", stderr);
    exit(2);
}

static size_t bytes_of(size_t count, size_t size)
{
    size_t bytes;
    if (__builtin_mul_overflow(count, size, &bytes))
        out_of_memory();
    return bytes ? bytes : 1;
}

void *memory_new(size_t count, size_t size)
{
    void *memory = calloc(1, bytes_of(count, size));
    if (!memory)
        out_of_memory();
    return memory;
}

void *memory_grow(void *old, size_t count, size_t size)
{
    void *memory = realloc(old, bytes_of(count, size));
    if (!memory)
        out_of_memory();
    return memory;
}

static ArenaBlock *block_new(size_t size)
{
    size_t whole;
    if (__builtin_add_overflow(sizeof(ArenaBlock), size, &whole))
        out_of_memory();
    ArenaBlock *block = memory_grow(NULL, 1, whole);
    block->next = NULL;
    block->used = 0;
    block->size = size;
    return block;
}

/* A large thing gets a block of its own behind the newest one, so that the
 * room left in the newest one is not lost. */
static void *alloc_large(Arena *arena, size_t bytes)
{
    ArenaBlock *block = block_new(bytes);
    block->used = bytes;
    if (arena->block) {
        block->next = arena->block->next;
        arena->block->next = block;
    } else {
        arena->block = block;
    }
    return block->bytes;
}

void *arena_alloc_unset(Arena *arena, size_t count, size_t size)
{
    size_t bytes = bytes_of(count, size);
    size_t align = _Alignof(max_align_t);
    if (bytes > BLOCK_BYTES / 4)
        return alloc_large(arena, bytes);
    bytes = (bytes + align - 1) / align * align;
    ArenaBlock *block = arena->block;
    if (!block || block->size - block->used < bytes) {
        block = block_new(BLOCK_BYTES);
        block->next = arena->block;
        arena->block = block;
    }
    void *memory = (char *)block->bytes + block->used;
    block->used += bytes;
    return memory;
}

/* What is used is zeroed, not whole blocks. */
void *arena_alloc(Arena *arena, size_t count, size_t size)
{
    void *memory = arena_alloc_unset(arena, count, size);
    return memset(memory, 0, count * size);
}

char *arena_copy(Arena *arena, const char *text, size_t length)
{
    if (length == SIZE_MAX)
        out_of_memory();
    char *copy = arena_alloc(arena, length + 1, 1);
    if (length)
        memcpy(copy, text, length);
    return copy;
}

char *arena_printf(Arena *arena, const char *format, ...)
{
    char shown[128];
    va_list arguments, again;
    va_start(arguments, format);
    va_copy(again, arguments);
    int length = vsnprintf(shown, sizeof shown, format, arguments);
    va_end(arguments);
    if (length < 0)
        out_of_memory();
    char *text = arena_alloc(arena, (size_t)length + 1, 1);
    if ((size_t)length < sizeof shown)
        memcpy(text, shown, (size_t)length);
    else
        vsnprintf(text, (size_t)length + 1, format, again);
    va_end(again);
    return text;
}

void arena_free(Arena *arena)
{
    while (arena->block) {
        ArenaBlock *next = arena->block->next;
        free(arena->block);
        arena->block = next;
    }
}

void *arena_room(Arena *arena, void *items, size_t count, size_t *capacity, size_t size)
{
    if (count < *capacity)
        return items;
    size_t more = *capacity ? *capacity : 4;
    if (__builtin_mul_overflow(more, (size_t)2, &more))
        out_of_memory();
    void *room = arena_alloc(arena, more, size);
    if (count)
        memcpy(room, items, count * size);
    *capacity = more;
    return room;
}
