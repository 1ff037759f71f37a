/* Where the blocks of a symmetric matrix go in its compressed columns. The same as _columns of pattern.py, which says
   what is right, without arrays as long as the matrix in between. */

#include <stdint.h>

/* Pairs of places are sorted by the first, then the second. So of the blocks of a column those above its diagonal come
   in the order of their rows as pairs that end there, and the others as pairs that begin there. ``number`` (3 places,):
   which unknown each component is, -1 for none. */

static int64_t free_in(const int32_t *number, int64_t place) {
    int64_t free = 0;
    for (int c = 0; c < 3; c++) free += number[3 * place + c] >= 0;
    return free;
}

static void count_block(const int32_t *number, int64_t row, int64_t column, int32_t *height) {
    int64_t free = free_in(number, row);
    for (int c = 0; c < 3; c++)
        if (number[3 * column + c] >= 0) height[number[3 * column + c]] += (int32_t)free;
}

static void put_block(const int32_t *number, int64_t pair, int64_t row, int64_t column, int turned, int32_t *next,
                      int32_t *indices, int64_t *source) {
    for (int c = 0; c < 3; c++) {
        int32_t of = number[3 * column + c];
        if (of < 0) continue;
        for (int r = 0; r < 3; r++) {
            int32_t at = number[3 * row + r];
            if (at < 0) continue;
            /* on the diagonal both triangles are read from the upper one, so that they are alike to the last bit */
            int lower = row == column ? r > c : turned;
            indices[next[of]] = at;
            source[next[of]++] = 9 * pair + (lower ? 3 * c + r : 3 * r + c);
        }
    }
}

/* Writes where each column begins, ``indptr`` (unknowns + 1,). */
void fabricsim_column_starts(const int32_t *low, const int32_t *high, int64_t pairs, const int32_t *number,
                             int64_t unknowns, int32_t *indptr) {
    for (int64_t f = 0; f <= unknowns; f++) indptr[f] = 0;
    for (int64_t e = 0; e < pairs; e++) {
        count_block(number, low[e], high[e], indptr + 1);
        if (low[e] != high[e]) count_block(number, high[e], low[e], indptr + 1);
    }
    for (int64_t f = 0; f < unknowns; f++) indptr[f + 1] += indptr[f];
}

/* Writes the row of each entry and the stored value that it is; ``next`` (unknowns,) begins as ``indptr``. */
void fabricsim_columns(const int32_t *low, const int32_t *high, int64_t pairs, const int32_t *number, int32_t *next,
                       int32_t *indices, int64_t *source) {
    for (int64_t e = 0; e < pairs; e++) put_block(number, e, low[e], high[e], 0, next, indices, source);
    for (int64_t e = 0; e < pairs; e++)
        if (low[e] != high[e]) put_block(number, e, high[e], low[e], 1, next, indices, source);
}
