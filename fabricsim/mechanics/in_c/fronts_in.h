/* The numbers of a multifrontal Cholesky, of one kind of REAL; fronts.c includes it for each. */

/* Adds what a front passes on, the lower triangle (rows, rows), to the front above: to its panel of ``own`` columns and
   to what that passes on in turn. ``to`` (rows,): which row of the front above each is; next to each other there they
   are added in one go. */
static void NAMED(add_up)(const REAL *given, int64_t rows, const int32_t *to, REAL *panel, REAL *passed, int64_t own,
                          int64_t tall) {
    for (int64_t j = 0; j < rows; j++) {
        const REAL *from = given + j * rows;
        REAL *into = to[j] < own ? panel + to[j] * tall : passed + (to[j] - own) * (tall - own) - own;
        for (int64_t i = j; i < rows;) {
            int64_t end = i + 1;
            while (end < rows && to[end] == to[end - 1] + 1) end++;
            REAL *line = into + to[i] - i;
            for (; i < end; i++) line[i] += from[i];
        }
    }
}

/* Factorises in place. ``panels``: the lower columns of each front as fabricsim_fronts_places has them; ``stack``: room
   for what fronts pass on. Returns 0, or 1 + the place where the pivot is not positive. */
int64_t NAMED(fabricsim_fronts_factorise)(const Fronts *f, REAL *panels, REAL *stack, int32_t *where,
                                          const Routines *by) {
    REAL one = 1, minus = -1;
    int64_t top = 0; /* of the stack */
    for (int64_t s = 0; s < f->fronts; s++) {
        int own = (int)(f->first[s + 1] - f->first[s]), rows = (int)(f->row_start[s + 1] - f->row_start[s]);
        int tall = own + rows, wrong = 0;
        const int32_t *row = f->row + f->row_start[s];
        REAL *panel = panels + f->panel[s], *passed = stack + top;
        memset(passed, 0, sizeof(REAL) * (size_t)rows * (size_t)rows);
        for (int k = 0; k < own; k++) where[f->first[s] + k] = k;
        for (int k = 0; k < rows; k++) where[row[k]] = own + k;
        int64_t low = top;
        for (int32_t below = f->last[s]; below >= 0; below = f->before[below]) { /* the last is on top */
            int64_t given = f->row_start[below + 1] - f->row_start[below];
            const int32_t *of = f->row + f->row_start[below];
            int32_t *to = where + f->unknowns;
            for (int64_t k = 0; k < given; k++) to[k] = where[of[k]];
            low -= given * given;
            NAMED(add_up)(stack + low, given, to, panel, passed, own, tall);
        }
        by->potrf("L", &own, panel, &tall, &wrong);
        if (wrong) return 1 + f->first[s] + (wrong > 0 ? wrong - 1 : 0);
        if (rows == 0) {
            top = low;
            continue;
        }
        by->trsm("R", "L", "T", "N", &rows, &own, &one, panel, &tall, panel + own, &tall);
        by->syrk("L", "N", &rows, &own, &minus, panel + own, &tall, &one, passed, &rows);
        memmove(stack + low, passed, sizeof(REAL) * (size_t)rows * (size_t)rows);
        top = low + (int64_t)rows * rows;
    }
    return 0;
}

/* Solves in place for the right side ``x`` (unknowns,), by place; ``aside`` is room for the rows of a front. */
void NAMED(fabricsim_fronts_solve)(const Fronts *f, const REAL *panels, REAL *x, REAL *aside, const Routines *by) {
    REAL one = 1, none = 0, minus = -1;
    int step = 1;
    for (int64_t s = 0; s < f->fronts; s++) {
        int own = (int)(f->first[s + 1] - f->first[s]), rows = (int)(f->row_start[s + 1] - f->row_start[s]);
        int tall = own + rows;
        const int32_t *row = f->row + f->row_start[s];
        const REAL *panel = panels + f->panel[s];
        by->trsv("L", "N", "N", &own, panel, &tall, x + f->first[s], &step);
        if (rows == 0) continue;
        by->gemv("N", &rows, &own, &one, panel + own, &tall, x + f->first[s], &step, &none, aside, &step);
        for (int k = 0; k < rows; k++) x[row[k]] -= aside[k];
    }
    for (int64_t s = f->fronts - 1; s >= 0; s--) {
        int own = (int)(f->first[s + 1] - f->first[s]), rows = (int)(f->row_start[s + 1] - f->row_start[s]);
        int tall = own + rows;
        const int32_t *row = f->row + f->row_start[s];
        const REAL *panel = panels + f->panel[s];
        if (rows > 0) {
            for (int k = 0; k < rows; k++) aside[k] = x[row[k]];
            by->gemv("T", &rows, &own, &minus, panel + own, &tall, aside, &step, &one, x + f->first[s], &step);
        }
        by->trsv("L", "T", "N", &own, panel, &tall, x + f->first[s], &step);
    }
}
