/* Which columns of a sparse Cholesky are eliminated together, and into which rows: the plan of its fronts, from where
   the entries are alone (Liu 1990, SIAM J. Matrix Anal. Appl. 11, 134; memory). */

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
    int64_t nodes;
    const int32_t *starts, *others; /* the nodes coupled to each, (nodes + 1,) and flat */
    int32_t *order, *place;         /* which node comes at each place, and the inverse */
    int32_t *above, *height, *mark; /* by place: the next eliminated by it, rows below its diagonal, scratch */
} Graph;

/* Finds by row subtrees what each place passes its rows on to, and how many rows it has. */
static void climb(Graph *g) {
    for (int64_t p = 0; p < g->nodes; p++) g->place[g->order[p]] = (int32_t)p;
    for (int64_t p = 0; p < g->nodes; p++) {
        int32_t node = g->order[p];
        g->above[p] = -1;
        g->height[p] = 0;
        g->mark[p] = (int32_t)p;
        for (int32_t k = g->starts[node]; k < g->starts[node + 1]; k++) {
            int32_t at = g->place[g->others[k]];
            if (at >= p) continue;
            while (g->mark[at] != p) {
                if (g->above[at] < 0) g->above[at] = (int32_t)p;
                g->height[at]++;
                g->mark[at] = (int32_t)p;
                at = g->above[at];
            }
        }
    }
}

/* Brings the order so that each place comes right after all that pass rows on to it, the tallest of them last; returns
   nonzero for want of memory. */
static int postorder(Graph *g) {
    int64_t n = g->nodes;
    int32_t *space = malloc(sizeof(int32_t) * (size_t)(5 * n + 2));
    if (space == NULL) return 1;
    int32_t *first = space, *next = space + n, *stack = next + n, *after = stack + n, *tall = after + n;
    memset(tall, 0, sizeof(int32_t) * (size_t)(n + 2));
    for (int64_t p = 0; p < n; p++) first[p] = -1;
    /* by counting sort the tallest are put in first, and so found last */
    for (int64_t p = 0; p < n; p++) tall[n - g->height[p] + 1]++;
    for (int64_t h = 0; h < n; h++) tall[h + 1] += tall[h];
    for (int64_t p = 0; p < n; p++) stack[tall[n - g->height[p]]++] = (int32_t)p;
    for (int64_t i = 0; i < n; i++) {
        int32_t p = stack[i], up = g->above[p];
        if (up < 0) continue;
        next[p] = first[up];
        first[up] = p;
    }
    int64_t done = 0;
    for (int64_t root = 0; root < n; root++) {
        if (g->above[root] >= 0) continue;
        int64_t deep = 0;
        stack[deep++] = (int32_t)root;
        while (deep > 0) {
            int32_t p = stack[deep - 1], below = first[p];
            if (below >= 0) {
                first[p] = next[below];
                stack[deep++] = below;
            } else {
                after[done++] = g->order[p];
                deep--;
            }
        }
    }
    memcpy(g->order, after, sizeof(int32_t) * (size_t)n);
    free(space);
    return 0;
}

/* Joins places to fronts: where the rows are the same but for the one that comes next, and where few entries that are
   nought come along. Writes the first place of each and returns how many there are. */
static int64_t joined(const Graph *g, double spare, int64_t narrow, int32_t *begin) {
    int64_t fronts = 0;
    double held = 0.0, nought = 0.0; /* entries of the front at hand, and those that join for nothing */
    for (int64_t p = 0; p < g->nodes; p++) {
        double own = 1.0 + g->height[p];
        if (p > 0 && g->above[p - 1] == p) {
            double columns = (double)(p - begin[fronts - 1]);
            double more = columns * (own - g->height[p - 1]);
            int few = columns < narrow && nought + more <= 0.5 * (held + more + own);
            if (more == 0.0 || few || nought + more <= spare * (held + more + own)) {
                held += more + own;
                nought += more;
                continue;
            }
        }
        begin[fronts++] = (int32_t)p;
        held = own;
        nought = 0.0;
    }
    begin[fronts] = (int32_t)g->nodes;
    return fronts;
}

/* Plans the fronts of a symmetric matrix of ``nodes`` nodes, coupled as (starts, others) say, both ways. ``order``: in
   which they are to be eliminated; changed to one with the same fill in which each front's are next to each other.
   Writes the first place of each front, ``begin`` (nodes + 1,), which front it passes on to, ``above`` (nodes,), -1 for
   none, and where its rows begin, ``row_start`` (nodes + 1,). ``spare``: the share of a front that may be noughts;
   ``narrow``: the columns up to which half may. Returns the number of fronts; -2 for want of memory. */
int64_t fabricsim_fronts_plan(int64_t nodes, const int32_t *starts, const int32_t *others, double spare, int64_t narrow,
                              int32_t *order, int32_t *begin, int32_t *above, int64_t *row_start) {
    int32_t *space = malloc(sizeof(int32_t) * (size_t)(5 * nodes + 1));
    if (space == NULL) return -2;
    Graph g = {nodes, starts, others, order, space, space + nodes, space + 2 * nodes, space + 3 * nodes};
    int32_t *front_of = space + 4 * nodes;
    climb(&g);
    if (postorder(&g)) {
        free(space);
        return -2;
    }
    climb(&g);
    int64_t fronts = joined(&g, spare, narrow, begin);
    for (int64_t s = 0; s < fronts; s++)
        for (int32_t p = begin[s]; p < begin[s + 1]; p++) front_of[p] = (int32_t)s;
    row_start[0] = 0;
    for (int64_t s = 0; s < fronts; s++) { /* the last of its places has the rows of all of them */
        int32_t end = begin[s + 1] - 1;
        row_start[s + 1] = row_start[s] + g.height[end];
        above[s] = g.above[end] < 0 ? -1 : front_of[g.above[end]];
    }
    free(space);
    return fronts;
}

static int by_number(const void *a, const void *b) {
    int32_t x = *(const int32_t *)a, y = *(const int32_t *)b;
    return (x > y) - (x < y);
}

/* Writes the rows of each front below its own places, sorted; of the same plan, with the order that it left, ``place``
   its inverse, and ``last`` and ``before`` of Fronts. ``mark`` (nodes,) is scratch. */
void fabricsim_fronts_rows(int64_t fronts, int64_t nodes, const int32_t *starts, const int32_t *others,
                           const int32_t *order, const int32_t *place, const int32_t *begin, const int64_t *row_start,
                           const int32_t *last, const int32_t *before, int32_t *mark, int32_t *row) {
    for (int64_t p = 0; p < nodes; p++) mark[p] = -1;
    for (int64_t s = 0; s < fronts; s++) {
        int64_t end = row_start[s];
        for (int32_t p = begin[s]; p < begin[s + 1]; p++)
            for (int32_t k = starts[order[p]]; k < starts[order[p] + 1]; k++) {
                int32_t at = place[others[k]];
                if (at < begin[s + 1] || mark[at] == s) continue;
                mark[at] = (int32_t)s;
                row[end++] = at;
            }
        for (int32_t below = last[s]; below >= 0; below = before[below])
            for (int64_t k = row_start[below]; k < row_start[below + 1]; k++) {
                int32_t at = row[k];
                if (at < begin[s + 1] || mark[at] == s) continue;
                mark[at] = (int32_t)s;
                row[end++] = at;
            }
        qsort(row + row_start[s], (size_t)(end - row_start[s]), sizeof(int32_t), by_number);
    }
}

/* Writes where each entry of a matrix in compressed columns goes in the panels of the fronts, -1 for what lies above
   the diagonal. Places, ``first`` (fronts + 1,) and ``row`` are of unknowns here; ``place`` (unknowns,): of each;
   ``where`` (unknowns,) is scratch. */
void fabricsim_fronts_places(int64_t fronts, const int32_t *first, const int64_t *row_start, const int32_t *row,
                             const int64_t *panel, const int32_t *unknown, const int32_t *place, const int32_t *indptr,
                             const int32_t *indices, int32_t *where, int64_t *put) {
    for (int64_t s = 0; s < fronts; s++) {
        int64_t own = first[s + 1] - first[s], rows = row_start[s + 1] - row_start[s];
        for (int64_t k = 0; k < own; k++) where[first[s] + k] = (int32_t)k;
        for (int64_t k = 0; k < rows; k++) where[row[row_start[s] + k]] = (int32_t)(own + k);
        for (int32_t p = first[s]; p < first[s + 1]; p++) {
            int32_t column = unknown[p];
            int64_t at = panel[s] + (p - first[s]) * (own + rows);
            for (int32_t k = indptr[column]; k < indptr[column + 1]; k++) {
                int32_t low = place[indices[k]];
                put[k] = low < p ? -1 : at + where[low];
            }
        }
    }
}
