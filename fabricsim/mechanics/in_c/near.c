/* Which of many points are near each other: the same pairs as scipy's cKDTree finds, which is the reference. */

#include "boxes.h"

typedef struct {
    const double *x;
    int64_t own;   /* points from here on are images: not held against each other */
    double square;
    int32_t *pair; /* (room, 2) */
    int64_t room, found;
} Search;

static void note_if_near(void *with, int64_t i, int64_t j) {
    Search *s = with;
    if (i >= s->own && j >= s->own) return;
    double square = 0.0;
    for (int c = 0; c < 3; c++) {
        double way = s->x[3 * i + c] - s->x[3 * j + c];
        square += way * way;
    }
    if (!(square <= s->square)) return;
    if (s->found < s->room) {
        s->pair[2 * s->found] = (int32_t)(i < j ? i : j);
        s->pair[2 * s->found + 1] = (int32_t)(i < j ? j : i);
    }
    s->found++;
}

/* Writes up to ``room`` pairs (room, 2) of points x (count, 3) no farther apart than ``distance``, the lower number
   first, and returns how many there are; of points from number ``own`` on, images, no two together. Returns -1 where a
   point lies nowhere, -2 for want of memory. */
int64_t fabricsim_near(const double *x, int64_t count, int64_t own, double distance, int32_t *pair, int64_t room) {
    Search s = {x, own, distance * distance, pair, room, 0};
    int64_t wanting = have_meet(x, count, distance, note_if_near, &s);
    return wanting ? wanting : s.found;
}
