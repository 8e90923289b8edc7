/* Arenas: alignment, zeroing, ownership, growing arrays. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/memory.h"

static void gives_zeroed_aligned_memory(void **state)
{
    (void)state;
    Arena arena = {0};
    for (size_t size = 0; size < 9000; size = size * 2 + 1) {
        unsigned char *bytes = arena_alloc(&arena, size, 1);
        assert_non_null(bytes);
        assert_int_equal((uintptr_t)bytes % _Alignof(max_align_t), 0);
        for (size_t i = 0; i < size; i++)
            assert_int_equal(bytes[i], 0);
        memset(bytes, 0xAA, size);
    }
    arena_free(&arena);
    assert_null(arena.block);
    assert_int_equal(*ARENA_NEW(&arena, int, 1), 0); /* usable again */
    arena_free(&arena);
}

static void large_things_do_not_disturb_small_ones(void **state)
{
    (void)state;
    Arena arena = {0};
    char *small = arena_copy(&arena, "small", 5);
    char *large = arena_alloc(&arena, 1 << 20, 1);
    memset(large, 'x', 1 << 20);
    char *after = arena_printf(&arena, "%s-%d", small, 7);
    assert_string_equal(small, "small");
    assert_string_equal(after, "small-7");
    assert_int_equal(large[(1 << 20) - 1], 'x');
    arena_free(&arena);
}

static void arrays_grow_and_keep_their_items(void **state)
{
    (void)state;
    Arena arena = {0};
    int *items = NULL;
    size_t count = 0, capacity = 0;
    for (int i = 0; i < 1000; i++)
        *ARENA_PUSH(&arena, items, count, capacity) = i;
    assert_int_equal(count, 1000);
    assert_true(capacity >= count);
    for (int i = 0; i < 1000; i++)
        assert_int_equal(items[i], i);
    arena_free(&arena);
}

static void growing_keeps_the_bytes(void **state)
{
    (void)state;
    char *bytes = memory_new(4, 1);
    memcpy(bytes, "abc", 4);
    bytes = memory_grow(bytes, 100000, 1);
    assert_string_equal(bytes, "abc");
    free(bytes);
    bytes = memory_new(0, 8);
    assert_non_null(bytes);
    free(bytes);
}

static int status_of(void (*act)(void))
{
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        if (!freopen("/dev/null", "w", stderr))
            _exit(90);
        act();
        _exit(91);
    }
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static void overflow_of_new(void)
{
    free(memory_new(SIZE_MAX / 2, 3));
}

static void overflow_of_arena(void)
{
    Arena arena = {0};
    arena_alloc(&arena, SIZE_MAX, 2);
}

static void overflow_ends_the_program(void **state)
{
    (void)state;
    assert_int_equal(status_of(overflow_of_new), 2);
    assert_int_equal(status_of(overflow_of_arena), 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gives_zeroed_aligned_memory),
        cmocka_unit_test(large_things_do_not_disturb_small_ones),
        cmocka_unit_test(arrays_grow_and_keep_their_items),
        cmocka_unit_test(growing_keeps_the_bytes),
        cmocka_unit_test(overflow_ends_the_program),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
