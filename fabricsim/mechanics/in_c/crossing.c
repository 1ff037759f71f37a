/* Which cells of four corners go through each other, each taken as two flat triangles. The same as crossing.py of the
   fabric, which says what is right, without lists of pairs in between. */

#include "boxes.h"
#include "vectors.h"

static const int EDGE[5][2] = {{0, 1}, {0, 2}, {1, 3}, {2, 3}, {1, 2}}, TRIANGLE[2][3] = {{0, 1, 2}, {1, 3, 2}};

typedef struct {
    const double *corner, *plain; /* (4, count, 3), (count, 3) */
    const double *middle, *around; /* (count, 3), (count,) */
    int64_t count, own, through;
    double least, corners_off;
} Cells;

static double apart(const double *one, const double *other) {
    double square = 0.0;
    for (int c = 0; c < 3; c++) square += (other[c] - one[c]) * (other[c] - one[c]);
    return sqrt(square);
}

/* Moeller and Trumbore 1997, J. Graphics Tools 2, 21 (memory). */
static int pierces(const double *begin, const double *end, const double *a, const double *b, const double *c,
                   double off) {
    double way[3], ab[3], ac[3], from[3], h[3], q[3];
    for (int k = 0; k < 3; k++)
        way[k] = end[k] - begin[k], ab[k] = b[k] - a[k], ac[k] = c[k] - a[k], from[k] = begin[k] - a[k];
    cross(way, ac, h);
    cross(from, ab, q);
    double over = 1.0 / dot(ab, h), u = over * dot(from, h), v = over * dot(way, q), t = over * dot(ac, q);
    return u > off && v > off && u + v < 1.0 - off && t > off && t < 1.0 - off;
}

static int goes_through(const Cells *s, int64_t one, int64_t other) {
    const double *a[4], *b[4];
    for (int k = 0; k < 4; k++) a[k] = s->corner + 3 * (k * s->count + one), b[k] = s->corner + 3 * (k * s->count + other);
    for (int e = 0; e < 5; e++)
        for (int t = 0; t < 2; t++)
            if (pierces(a[EDGE[e][0]], a[EDGE[e][1]], b[TRIANGLE[t][0]], b[TRIANGLE[t][1]], b[TRIANGLE[t][2]],
                        s->corners_off))
                return 1;
    return 0;
}

static void count_if_crossing(void *with, int64_t i, int64_t j) {
    Cells *s = with;
    if (i >= s->own && j >= s->own) return;
    if (!(apart(s->middle + 3 * i, s->middle + 3 * j) <= s->around[i] + s->around[j])) return;
    if (!(apart(s->plain + 3 * i, s->plain + 3 * j) >= s->least)) return;
    s->through += goes_through(s, i, j) || goes_through(s, j, i);
}

/* Returns how many pairs of cells, no nearer than ``least`` by their middles in ``plain`` fabric (count, 3), have an
   edge of one go through the other; ``corner`` (4, count, 3), ``middle`` (count, 3), ``around`` (count,): the farthest
   of its corners from it, ``farthest`` of all. Cells from number ``own`` on are images: not held against each other.
   Shares within ``off`` of an edge or an end don't count. Returns -1 where one lies nowhere, -2 for want of memory. */
int64_t fabricsim_crossing(const double *corner, const double *plain, const double *middle, const double *around,
                           int64_t count, int64_t own, double farthest, double least, double off) {
    Cells s = {corner, plain, middle, around, count, own, 0, least, off};
    int64_t wanting = have_meet(middle, count, 2.0 * farthest, count_if_crossing, &s);
    return wanting ? wanting : s.through;
}
