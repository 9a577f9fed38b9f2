#include "labels/reading/reed_solomon.h"

#include <assert.h>
#include <string.h>

enum {
    FIELD = 255,      /* elements other than 0 */
    MOST_CHECK = 68,  /* check words of one block, over all sizes (48x48) */
    MOST_BLOCK = 255, /* codewords of one block */
    MOST_BLOCKS = 10,
};

/* Powers of a = 2 modulo x^8 + x^5 + x^3 + x^2 + 1 (0x12D) and their logarithms; the test computes them anew. */
// clang-format off
static const uint8_t exponentials[FIELD] = {
    1, 2, 4, 8, 16, 32, 64, 128, 45, 90, 180, 69, 138, 57, 114, 228,
    229, 231, 227, 235, 251, 219, 155, 27, 54, 108, 216, 157, 23, 46, 92, 184,
    93, 186, 89, 178, 73, 146, 9, 18, 36, 72, 144, 13, 26, 52, 104, 208,
    141, 55, 110, 220, 149, 7, 14, 28, 56, 112, 224, 237, 247, 195, 171, 123,
    246, 193, 175, 115, 230, 225, 239, 243, 203, 187, 91, 182, 65, 130, 41, 82,
    164, 101, 202, 185, 95, 190, 81, 162, 105, 210, 137, 63, 126, 252, 213, 135,
    35, 70, 140, 53, 106, 212, 133, 39, 78, 156, 21, 42, 84, 168, 125, 250,
    217, 159, 19, 38, 76, 152, 29, 58, 116, 232, 253, 215, 131, 43, 86, 172,
    117, 234, 249, 223, 147, 11, 22, 44, 88, 176, 77, 154, 25, 50, 100, 200,
    189, 87, 174, 113, 226, 233, 255, 211, 139, 59, 118, 236, 245, 199, 163, 107,
    214, 129, 47, 94, 188, 85, 170, 121, 242, 201, 191, 83, 166, 97, 194, 169,
    127, 254, 209, 143, 51, 102, 204, 181, 71, 142, 49, 98, 196, 165, 103, 206,
    177, 79, 158, 17, 34, 68, 136, 61, 122, 244, 197, 167, 99, 198, 161, 111,
    222, 145, 15, 30, 60, 120, 240, 205, 183, 67, 134, 33, 66, 132, 37, 74,
    148, 5, 10, 20, 40, 80, 160, 109, 218, 153, 31, 62, 124, 248, 221, 151,
    3, 6, 12, 24, 48, 96, 192, 173, 119, 238, 241, 207, 179, 75, 150,
};
static const uint8_t logarithms[FIELD + 1] = {
    0, 0, 1, 240, 2, 225, 241, 53, 3, 38, 226, 133, 242, 43, 54, 210,
    4, 195, 39, 114, 227, 106, 134, 28, 243, 140, 44, 23, 55, 118, 211, 234,
    5, 219, 196, 96, 40, 222, 115, 103, 228, 78, 107, 125, 135, 8, 29, 162,
    244, 186, 141, 180, 45, 99, 24, 49, 56, 13, 119, 153, 212, 199, 235, 91,
    6, 76, 220, 217, 197, 11, 97, 184, 41, 36, 223, 253, 116, 138, 104, 193,
    229, 86, 79, 171, 108, 165, 126, 145, 136, 34, 9, 74, 30, 32, 163, 84,
    245, 173, 187, 204, 142, 81, 181, 190, 46, 88, 100, 159, 25, 231, 50, 207,
    57, 147, 14, 67, 120, 128, 154, 248, 213, 167, 200, 63, 236, 110, 92, 176,
    7, 161, 77, 124, 221, 102, 218, 95, 198, 90, 12, 152, 98, 48, 185, 179,
    42, 209, 37, 132, 224, 52, 254, 239, 117, 233, 139, 22, 105, 27, 194, 113,
    230, 206, 87, 158, 80, 189, 172, 203, 109, 175, 166, 62, 127, 247, 146, 66,
    137, 192, 35, 252, 10, 183, 75, 216, 31, 83, 33, 73, 164, 144, 85, 170,
    246, 65, 174, 61, 188, 202, 205, 157, 143, 169, 82, 72, 182, 215, 191, 251,
    47, 178, 89, 151, 101, 94, 160, 123, 26, 112, 232, 21, 51, 238, 208, 131,
    58, 69, 148, 18, 15, 16, 68, 17, 121, 149, 129, 19, 155, 59, 249, 70,
    214, 250, 168, 71, 201, 156, 64, 60, 237, 130, 111, 20, 93, 122, 177, 150,
};
// clang-format on

static uint8_t power(int exponent)
{
    return exponentials[exponent % FIELD];
}

static uint8_t multiply(uint8_t a, uint8_t b)
{
    return a && b ? exponentials[(logarithms[a] + logarithms[b]) % FIELD] : 0;
}

static uint8_t divide(uint8_t a, uint8_t b)
{
    assert(b);
    return a ? exponentials[(logarithms[a] + FIELD - logarithms[b]) % FIELD] : 0;
}

/* One block, gathered from the interleaved codewords; word[0] is the highest power. */
struct block {
    uint8_t word[MOST_BLOCK];
    bool erased[MOST_BLOCK];
    int length, check, erasures;
};

static struct block gather(const struct symbol_size *size, const uint8_t *codewords, const uint8_t *erased, int index)
{
    struct block block = {.check = size->check / size->blocks};
    for (int i = index; i < size->data + size->check; i += size->blocks) {
        block.erased[block.length] = erased && erased[i];
        block.erasures += block.erased[block.length];
        block.word[block.length++] = codewords[i];
    }
    return block;
}

static void scatter(const struct symbol_size *size, const struct block *block, int index, uint8_t *codewords)
{
    for (int i = 0; i < block->length; i++)
        codewords[index + i * size->blocks] = block->word[i];
}

/* syndromes[j] = the block's polynomial at a^(j+1). True when all are zero: the block is a codeword. */
static bool find_syndromes(const struct block *block, uint8_t *syndromes)
{
    uint8_t any = 0;
    for (int j = 0; j < block->check; j++) {
        uint8_t sum = 0;
        for (int i = 0; i < block->length; i++)
            sum = multiply(sum, power(j + 1)) ^ block->word[i];
        syndromes[j] = sum;
        any |= sum;
    }
    return any == 0;
}

/* Of the erased places: the product of (1 - x a^place). Returns its degree. */
static int erasure_locator(const struct block *block, uint8_t *locator)
{
    int degree = 0;
    memset(locator, 0, (size_t)block->check + 1);
    locator[0] = 1;
    for (int i = 0; i < block->length; i++) {
        if (!block->erased[i])
            continue;
        degree++;
        for (int k = degree; k > 0; k--)
            locator[k] ^= multiply(locator[k - 1], power(block->length - 1 - i));
    }
    return degree;
}

/* Berlekamp and Massey, begun with the erasures (Blahut 1983, "Theory and Practice of Error Control Codes", 9.1): the
 * shortest recurrence that makes the syndromes and has the erased places among its roots. `locator` has check + 1
 * coefficients, lowest power first. Returns its degree: erasures and errors, if they can be corrected. */
static int find_locator(const uint8_t *syndromes, const struct block *block, uint8_t *locator)
{
    const int check = block->check, erasures = erasure_locator(block, locator);
    uint8_t before[MOST_CHECK + 1], kept[MOST_CHECK + 1];
    memcpy(before, locator, (size_t)check + 1);
    uint8_t last = 1;
    int degree = erasures, shift = 1;
    for (int n = erasures; n < check; n++, shift++) {
        uint8_t gap = 0;
        for (int i = 0; i <= degree && i <= n; i++)
            gap ^= multiply(locator[i], syndromes[n - i]);
        if (gap == 0)
            continue;
        memcpy(kept, locator, (size_t)check + 1);
        const uint8_t scale = divide(gap, last);
        for (int i = 0; i + shift <= check; i++)
            locator[i + shift] ^= multiply(scale, before[i]);
        if (2 * degree <= n + erasures) {
            degree = n + 1 + erasures - degree;
            memcpy(before, kept, (size_t)check + 1);
            last = gap;
            shift = 0;
        }
    }
    return degree;
}

static uint8_t evaluate(const uint8_t *coefficients, int degree, uint8_t x)
{
    uint8_t sum = 0;
    for (int i = degree; i >= 0; i--)
        sum = multiply(sum, x) ^ coefficients[i];
    return sum;
}

/* Chien's search for the places, Forney's formula for the values (first root a^1: the factor X^0 = 1). */
static bool apply_errors(struct block *block, const uint8_t *syndromes, const uint8_t *locator, int errors)
{
    uint8_t evaluator[MOST_CHECK] = {0}, slope[MOST_CHECK + 1] = {0};
    for (int i = 0; i < errors; i++)
        for (int j = 0; j <= i; j++)
            evaluator[i] ^= multiply(syndromes[i - j], locator[j]);
    for (int i = 1; i <= errors; i += 2) /* the formal derivative in characteristic 2 */
        slope[i - 1] = locator[i];
    int found = 0;
    for (int place = 0; place < block->length; place++) { /* place = power of x */
        const uint8_t inverse = power(FIELD - place);
        if (evaluate(locator, errors, inverse) != 0)
            continue;
        const uint8_t below = evaluate(slope, errors, inverse);
        if (below == 0)
            return false;
        block->word[block->length - 1 - place] ^= divide(evaluate(evaluator, errors - 1, inverse), below);
        found++;
    }
    return found == errors;
}

/* Returns the count of words changed, -1 when there are more than `most` errors besides the erasures. */
static int correct_block(struct block *block, int most)
{
    uint8_t syndromes[MOST_CHECK], locator[MOST_CHECK + 1], before[MOST_BLOCK];
    assert(block->check <= MOST_CHECK && block->length <= MOST_BLOCK);
    if (find_syndromes(block, syndromes))
        return 0;
    memcpy(before, block->word, (size_t)block->length);
    const int places = find_locator(syndromes, block, locator);
    if (places - block->erasures > most || !apply_errors(block, syndromes, locator, places) ||
        !find_syndromes(block, syndromes))
        return -1;
    int changed = 0;
    for (int i = 0; i < block->length; i++)
        changed += block->word[i] != before[i];
    return changed;
}

int reed_solomon_bound(const struct symbol_size *size)
{
    const int check = size->check / size->blocks;
    return check <= 7 ? check / 2 - 1 : check / 2;
}

double reed_solomon_chance(int length, int check, int errors, int erasures)
{
    double sum = 0, ways = 1; /* C(n, i) 255^i, and 256 taken from it as often as it can bear */
    for (int i = 0; i <= errors; i++) {
        sum += ways;
        ways *= 255.0 * (length - erasures - i) / (i + 1);
    }
    for (int i = erasures; i < check; i++)
        sum /= 256;
    return sum;
}

/* Most errors that may be corrected in a block besides its erasures; -1: it has too many of these. */
static int most_errors(const struct symbol_size *size, const struct block *block)
{
    if (block->erasures == 0)
        return reed_solomon_bound(size);
    return block->erasures > block->check - 2 ? -1 : (block->check - 2 - block->erasures) / 2;
}

enum { RISK_SHARES = 64 };

/* The most errors a block that `risk` allows, which it makes smaller by their chance; -1: not even none. */
static int errors_allowed(const struct symbol_size *size, const struct block *blocks, double *risk)
{
    for (int errors = reed_solomon_bound(size); errors >= 0; errors--) {
        double chance = 1; /* all blocks must be accepted */
        for (int b = 0; b < size->blocks; b++) {
            const int most = most_errors(size, &blocks[b]);
            if (most < 0)
                return -1;
            chance *= reed_solomon_chance(blocks[b].length, blocks[b].check, errors < most ? errors : most,
                                          blocks[b].erasures);
        }
        if (!risk || chance <= *risk / RISK_SHARES) {
            if (risk)
                *risk -= chance;
            return errors;
        }
    }
    return -1;
}

int reed_solomon_correct(const struct symbol_size *size, const uint8_t *erased, double *risk, uint8_t *codewords)
{
    struct block blocks[MOST_BLOCKS];
    int changed = 0;
    assert(size->blocks <= MOST_BLOCKS);
    for (int b = 0; b < size->blocks; b++)
        blocks[b] = gather(size, codewords, erased, b);
    const int allowed = errors_allowed(size, blocks, risk);
    if (allowed < 0)
        return -1;
    for (int b = 0; b < size->blocks; b++) {
        const int most = most_errors(size, &blocks[b]);
        const int errors = correct_block(&blocks[b], allowed < most ? allowed : most);
        if (errors < 0)
            return -1;
        changed += errors;
    }
    for (int b = 0; b < size->blocks; b++)
        scatter(size, &blocks[b], b, codewords);
    return changed;
}

void reed_solomon_extend(const struct symbol_size *size, uint8_t *codewords)
{
    const int check = size->check / size->blocks;
    uint8_t generator[MOST_CHECK + 1] = {1}; /* lowest power first, monic: generator[check] = 1 in the end */
    for (int j = 1; j <= check; j++) {
        for (int i = j; i > 0; i--)
            generator[i] = (uint8_t)(generator[i - 1] ^ multiply(generator[i], power(j)));
        generator[0] = multiply(generator[0], power(j));
    }
    for (int b = 0; b < size->blocks; b++) {
        struct block block = gather(size, codewords, NULL, b);
        uint8_t rest[MOST_CHECK] = {0}; /* rest[0] is the highest power */
        for (int i = 0; i < block.length - check; i++) {
            const uint8_t lead = block.word[i] ^ rest[0];
            for (int k = 0; k < check; k++)
                rest[k] = (uint8_t)((k + 1 < check ? rest[k + 1] : 0) ^ multiply(lead, generator[check - 1 - k]));
        }
        memcpy(block.word + block.length - check, rest, (size_t)check);
        scatter(size, &block, b, codewords);
    }
}
