/* Points put into boxes no smaller than a distance, so that what is near each other lies in the same or in neighbouring
   ones. */

#ifndef FABRICSIM_BOXES_H
#define FABRICSIM_BOXES_H

#include <float.h>
#include <stdint.h>
#include <stdlib.h>

enum { BOXES_A_POINT = 2 }; /* at most (chosen): emptier ones cost more to walk than they save */

typedef struct {
    double low[3], edge;
    int64_t boxes[3];
} Grid;

/* Lays a grid over points (count, 3); 0 where one of them is no number or infinite. */
static int grid_over(const double *x, int64_t count, double distance, Grid *to) {
    double high[3], longest = 0.0;
    for (int c = 0; c < 3; c++) to->low[c] = high[c] = x[c];
    for (int64_t i = 0; i < count; i++)
        for (int c = 0; c < 3; c++) {
            double at = x[3 * i + c];
            if (!(at >= -DBL_MAX && at <= DBL_MAX)) return 0;
            if (at < to->low[c]) to->low[c] = at;
            if (at > high[c]) high[c] = at;
        }
    for (int c = 0; c < 3; c++)
        if (high[c] - to->low[c] > longest) longest = high[c] - to->low[c];
    if (!(longest <= DBL_MAX)) return 0;
    /* No box is smaller than a share of the whole, so that the numbers of boxes are small ones. */
    to->edge = distance > longest / 4096.0 ? distance * (1.0 + 1e-9) : longest / 4096.0; /* whatever is rounded */
    for (;;) {
        double all = 1.0;
        for (int c = 0; c < 3; c++) {
            to->boxes[c] = to->edge > 0.0 ? 1 + (int64_t)((high[c] - to->low[c]) / to->edge) : 1;
            all *= (double)to->boxes[c];
        }
        if (all <= BOXES_A_POINT * (double)count + 27.0) return 1;
        to->edge *= 1.25;
    }
}

static int64_t box_of(const Grid *grid, const double *at) {
    int64_t k[3];
    for (int c = 0; c < 3; c++) {
        k[c] = grid->edge > 0.0 ? (int64_t)((at[c] - grid->low[c]) / grid->edge) : 0;
        if (k[c] >= grid->boxes[c]) k[c] = grid->boxes[c] - 1;
    }
    return (k[2] * grid->boxes[1] + k[1]) * grid->boxes[0] + k[0];
}

typedef void (*Meet)(void *with, int64_t i, int64_t j);

/* Has every two of the points x (count, 3) meet that may be no farther apart than ``distance``, each pair once.
   Returns 0, -1 where a point lies nowhere, -2 for want of memory. */
static inline int64_t have_meet(const double *x, int64_t count, double distance, Meet meet, void *with) {
    Grid grid;
    if (count == 0) return 0;
    if (!grid_over(x, count, distance, &grid)) return -1;
    int64_t boxes = grid.boxes[0] * grid.boxes[1] * grid.boxes[2];
    int32_t *begin = calloc((size_t)boxes + 2, sizeof *begin), *in = malloc((size_t)count * sizeof *in);
    int32_t *box = malloc((size_t)count * sizeof *box);
    if (!begin || !in || !box) {
        free(begin), free(in), free(box);
        return -2;
    }
    for (int64_t i = 0; i < count; i++) begin[2 + (box[i] = (int32_t)box_of(&grid, x + 3 * i))]++;
    for (int64_t b = 0; b < boxes; b++) begin[b + 2] += begin[b + 1];
    for (int64_t i = 0; i < count; i++) in[begin[1 + box[i]]++] = (int32_t)i;
    for (int64_t b = 0; b < boxes; b++) {
        if (begin[b] == begin[b + 1]) continue;
        int64_t at[3] = {b % grid.boxes[0], b / grid.boxes[0] % grid.boxes[1], b / (grid.boxes[0] * grid.boxes[1])};
        for (int64_t i = begin[b]; i < begin[b + 1]; i++)
            for (int64_t j = i + 1; j < begin[b + 1]; j++) meet(with, in[i], in[j]);
        for (int k = 14; k < 27; k++) { /* half of the neighbours: the others have this one as theirs */
            int64_t to[3] = {at[0] + k % 3 - 1, at[1] + k / 3 % 3 - 1, at[2] + k / 9 - 1};
            int there = 1;
            for (int c = 0; c < 3; c++) there = there && to[c] >= 0 && to[c] < grid.boxes[c];
            if (!there) continue;
            int64_t n = (to[2] * grid.boxes[1] + to[1]) * grid.boxes[0] + to[0];
            for (int64_t i = begin[b]; i < begin[b + 1]; i++)
                for (int64_t j = begin[n]; j < begin[n + 1]; j++) meet(with, in[i], in[j]);
        }
    }
    free(begin), free(in), free(box);
    return 0;
}

#endif
