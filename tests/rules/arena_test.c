#include "kiosk/rules/arena.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void pieces_are_apart_aligned_and_zeroed(void **state)
{
    static unsigned char memory[1001];
    struct arena arena;
    unsigned char *last = NULL;
    (void)state;
    memset(memory, 0xA5, sizeof memory);
    arena_init(&arena, memory + 1, sizeof memory - 1); /* aligned to nothing */
    for (size_t size = 0; size < 30; size++) {
        unsigned char *piece = arena_take(&arena, size, 1);
        assert_non_null(piece);
        assert_true((uintptr_t)piece % _Alignof(max_align_t) == 0);
        assert_true(!last || piece >= last + size); /* the one before was smaller by 1, or had none */
        for (size_t i = 0; i < size; i++)
            assert_int_equal(piece[i], 0);
        memset(piece, 0x5A, size);
        last = piece;
    }
    assert_false(arena.full);
}

static void what_does_not_fit_is_refused_and_remembered(void **state)
{
    _Alignas(max_align_t) static unsigned char memory[256];
    struct arena arena;
    (void)state;
    arena_init(&arena, memory, sizeof memory);
    assert_null(arena_take(&arena, SIZE_MAX / 2, 4));  /* would wrap */
    assert_null(arena_take(&arena, 1, sizeof memory)); /* no room for the byte more */
    assert_true(arena.full);
    const size_t mark = arena_mark(&arena);
    assert_non_null(arena_take(&arena, 10, 10));
    assert_null(arena_take(&arena, 20, 10));
    arena_release(&arena, mark);
    assert_non_null(arena_take(&arena, 20, 10));
    arena_init(&arena, NULL, 0);
    assert_null(arena_take(&arena, 1, 1));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pieces_are_apart_aligned_and_zeroed),
        cmocka_unit_test(what_does_not_fit_is_refused_and_remembered),
    };
    return cmocka_run_group_tests_name("rules/arena", tests, NULL, NULL);
}
