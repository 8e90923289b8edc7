/* Sums against the published examples of SHA-256. */
#include "log_kit.h"

#include "log/sum.h"

/* NIST, examples with intermediate values for FIPS 180-4 (in FIPS 180-2: appendix B). */
static void test_published_examples(void **state)
{
    (void)state;
    assert_string_equal(sum_of("abc", 3, "", 0).hex,
                        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    const char *two = "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
    assert_string_equal(sum_of(two, strlen(two), "", 0).hex,
                        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    char *million = memory_new(1000000, 1);
    memset(million, 'a', 1000000);
    assert_string_equal(sum_of(million, 1000000, "", 0).hex,
                        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
    free(million);
}

static void test_two_pieces_are_one_text(void **state)
{
    (void)state;
    const char *text = "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
    size_t length = strlen(text);
    for (size_t i = 0; i <= length; i++)
        assert_string_equal(sum_of(text, i, text + i, length - i).hex,
                            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_published_examples),
        cmocka_unit_test(test_two_pieces_are_one_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
