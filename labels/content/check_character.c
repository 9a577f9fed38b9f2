#include "labels/content/check_character.h"

#include <string.h>

enum { ALPHANUMERICS = 36, PAIR_MODULUS = 1021, KEY_BYTES = 25 };

static const char alphanumerics[] = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";

/* A recursion in two moduli: sum modulo 36 where 0 counts as 36, doubled modulo 37. */
char check_character_mod37_36(struct span body)
{
    if (body.length == 0)
        return '\0';
    int product = ALPHANUMERICS;
    for (size_t i = 0; i < body.length; i++) {
        const char *const found = body.at[i] ? strchr(alphanumerics, body.at[i]) : NULL;
        if (!found)
            return '\0';
        int sum = (product + (int)(found - alphanumerics)) % ALPHANUMERICS;
        if (sum == 0)
            sum = ALPHANUMERICS;
        product = 2 * sum % (ALPHANUMERICS + 1);
    }
    return alphanumerics[(ALPHANUMERICS + 1 - product) % ALPHANUMERICS];
}

char check_character_mod10(struct span body)
{
    if (body.length == 0)
        return '\0';
    int sum = 0;
    for (size_t i = 0; i < body.length; i++) {
        const char c = body.at[body.length - 1 - i];
        if (c < '0' || c > '9')
            return '\0';
        sum = (sum + (c - '0') * (i % 2 == 0 ? 3 : 1)) % 10;
    }
    return (char)('0' + (10 - sum) % 10);
}

bool check_character_mod10_ok(struct span digits)
{
    if (digits.length < 2)
        return false;
    const char check = check_character_mod10((struct span){digits.at, digits.length - 1});
    return check != '\0' && check == digits.at[digits.length - 1];
}

int check_character_cset82(char c)
{
    static const char set[] = "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz";
    const char *const found = c ? strchr(set, c) : NULL;
    return found ? (int)(found - set) : -1;
}

/* Each character's place in the set of 82, weighted by the primes from the right, modulo 1021; the ten bits of the
 * sum are two characters of a set of 32 that leaves out 0, 1, I and O. */
bool check_character_pair_ok(struct span key)
{
    static const char set32[] = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ";
    static const int primes[KEY_BYTES - 2] = {2,  3,  5,  7,  11, 13, 17, 19, 23, 29, 31, 37,
                                              41, 43, 47, 53, 59, 61, 67, 71, 73, 79, 83};
    if (key.length < 3 || key.length > KEY_BYTES)
        return false;
    const size_t body = key.length - 2;
    int sum = 0;
    for (size_t i = 0; i < body; i++) {
        const int place = check_character_cset82(key.at[i]);
        if (place < 0)
            return false;
        sum += place * primes[body - 1 - i];
    }
    sum %= PAIR_MODULUS;
    return key.at[body] == set32[sum / 32] && key.at[body + 1] == set32[sum % 32];
}
