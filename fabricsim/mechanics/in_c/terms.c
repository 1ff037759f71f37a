/* All terms of an energy in one pass: measures, laws, chain rule, and adding into place, element by element.

   What each geometry and law is, and why, stands beside its reference in numpy (energies, laws.py, terms.py); here is
   the same arithmetic, without arrays in between. Sums are taken in the order of the elements, so that the same input
   gives the same bits. Plain C99 without Python's headers: called through ctypes, see compiled.py. */

#include <stdlib.h>

#include "terms.h"

int64_t fabricsim_layout(void) { return LAYOUT; }

/* Where the elements' shares are, those of the two periods behind the constant ones. */
typedef struct {
    int32_t *span, *point;
    double *share;
    int64_t count;
} Shares;

static void shares_of(const Term *t, int64_t b, Shares *to) {
    to->count = t->shares;
    if (!t->crossed) return;
    for (int64_t m = 0; m < t->spans; m++)
        for (int a = 0; a < 2; a++) {
            double share = t->crossed[2 * (b * t->spans + m) + a];
            if (share == 0.0) continue;
            to->span[to->count] = (int32_t)m, to->point[to->count] = (int32_t)(t->points - 2 + a);
            to->share[to->count++] = share;
        }
}

/* Writes the shares of those spans that say something. */
static void heard_of(const Shares *all, const int32_t *silent, Shares *to) {
    to->count = 0;
    for (int64_t one = 0; one < all->count; one++) {
        if (silent[all->span[one]]) continue;
        to->span[to->count] = all->span[one], to->point[to->count] = all->point[one];
        to->share[to->count++] = all->share[one];
    }
}

static void add_blocks(const Term *t, int64_t b, const Shares *of, const double *h, double *total) {
    int64_t points = t->points, q = 3 * t->spans;
    const int32_t *place = t->place + b * points, *pair = t->pair + b * (points * (points + 1) / 2);
    for (int64_t one = 0; one < of->count; one++) {
        int64_t i = of->point[one];
        const double *rows = h + 3 * q * of->span[one];
        const int32_t *pair_i = pair + i * points - i * (i - 1) / 2 - i;
        for (int64_t two = 0; two < of->count; two++) {
            int64_t j = of->point[two];
            if (j < i) continue;
            double *to = total + 9 * (int64_t)pair_i[j], share = of->share[one] * of->share[two];
            const double *block = rows + 3 * of->span[two];
            if (i == j || place[i] <= place[j])
                for (int r = 0; r < 3; r++)
                    for (int c = 0; c < 3; c++) to[3 * r + c] += share * block[q * r + c];
            if (i != j && place[i] >= place[j]) /* seen from the other end; both where the two points coincide */
                for (int r = 0; r < 3; r++)
                    for (int c = 0; c < 3; c++) to[3 * r + c] += share * block[q * c + r];
        }
    }
}

/* What one element after the other needs. */
typedef struct {
    double *doubles, *d, *slope, *h;
    Normal *normal;
    int32_t *number;
    Shares shares, heard;
    Wrap w;
} Room;

static void leave(Room *of) { free(of->doubles), free(of->normal), free(of->number); }

/* Returns 1 for want of memory. */
static int room_for(const Term *t, Room *to) {
    size_t k = t->geometry == WRAPPED ? (size_t)t->anchors : 0, q = 3 * (size_t)t->spans;
    size_t most = (size_t)t->shares + 2 * (size_t)t->spans;
    size_t doubles = q + q + q * q + 2 * most + 18 * k + 3 * k * 6 + 2 * k + 9 * k * k + 3 * k * q;
    double *next = to->doubles = malloc(doubles * sizeof *next);
    Wrap *w = &to->w;
    to->normal = malloc((k + 1) * sizeof *to->normal);
    to->number = calloc(4 * most + 2 * k + (size_t)t->spans, sizeof *to->number);
    if (!to->doubles || !to->normal || !to->number) {
        leave(to);
        return 1;
    }
    to->d = next, to->slope = next += q, to->h = next += q;
    to->shares = (Shares){to->number, to->number + most, next += q * q, 0};
    to->heard = (Shares){to->number + 2 * most, to->number + 3 * most, next += most, 0};
    w->normal = to->normal, w->turn = next += most;
    w->step = next += 18 * k, w->place = next += 3 * k, w->pull = next += 3 * k, w->p_slope = next += 3 * k;
    w->by_y = next += 3 * k, w->line = next += 3 * k, w->line_f = next += 3 * k, w->aside = next += k;
    w->inner = next += k, w->by_span = next += 9 * k * k;
    w->kept = to->number + 4 * most, w->of_line = w->kept + k, w->silent = w->of_line + k;
    memcpy(to->shares.span, t->share_span, (size_t)t->shares * sizeof *to->number);
    memcpy(to->shares.point, t->share_point, (size_t)t->shares * sizeof *to->number);
    memcpy(to->shares.share, t->share, (size_t)t->shares * sizeof *next);
    return 0;
}

/* Writes the spans of element b. */
static void spans_of(const Term *t, int64_t b, const double *x, Room *to) {
    const int32_t *place = t->place + b * t->points;
    Shares *shares = &to->shares;
    shares_of(t, b, shares);
    memset(to->d, 0, 3 * (size_t)t->spans * sizeof *to->d);
    for (int64_t one = 0; one < shares->count; one++) {
        const double *at = x + 3 * (int64_t)place[shares->point[one]];
        for (int c = 0; c < 3; c++) to->d[3 * shares->span[one] + c] += shares->share[one] * at[c];
    }
}

/* Write the energies u_b (count,), and add to the gradient total_pc (places, 3) and the blocks total_eb (pairs, 9) as
   far as the mode asks; x (places, 3). Returns 0, or 1 for want of memory. */
int64_t fabricsim_add(const Term *t, int64_t mode, const double *x, double *u_b, double *total_pc, double *total_eb) {
    int64_t q = 3 * t->spans;
    Room room;
    if (room_for(t, &room)) return 1;
    double *slope = room.slope, *h = room.h;
    const Shares *shares = &room.shares;
    for (int64_t b = 0; b < t->count; b++) {
        const int32_t *place = t->place + b * t->points;
        double u[3];
        spans_of(t, b, x, &room);
        fabricsim_respond(t, b, fabricsim_measure(t, b, room.d, NULL, NULL, &room.w), u);
        if (mode != MATERIAL) u_b[b] = u[0];
        if (mode == ENERGY || (u[1] == 0.0 && u[2] == 0.0) || (mode == MATERIAL && !(u[2] > 0.0))) continue;
        fabricsim_measure(t, b, room.d, slope, mode == HESSIAN ? h : NULL, &room.w);
        if (mode != MATERIAL)
            for (int64_t one = 0; one < shares->count; one++) {
                double *to = total_pc + 3 * (int64_t)place[shares->point[one]];
                const double *of = slope + 3 * shares->span[one];
                for (int c = 0; c < 3; c++) to[c] += shares->share[one] * (u[1] * of[c]);
            }
        if (mode == GRADIENT) continue;
        for (int64_t r = 0; r < q; r++) {
            if (room.w.silent[r / 3]) continue;
            for (int64_t c = 0; c < q; c++) {
                double outer = u[2] * slope[r] * slope[c];
                h[q * r + c] = mode == HESSIAN ? outer + u[1] * h[q * r + c] : outer;
            }
        }
        if (t->geometry == WRAPPED) heard_of(shares, room.w.silent, &room.heard);
        add_blocks(t, b, t->geometry == WRAPPED ? &room.heard : shares, h, total_eb);
    }
    leave(&room);
    return 0;
}

/* Write of wrapped distances the lengths (count,), how deep their chords cut in (count,), and about which anchors
   (count, anchors) they turn; x (places, 3). Returns 0, or 1 for want of memory. */
int64_t fabricsim_courses(const Term *t, const double *x, double *length_b, double *depth_b, int32_t *turns_bk) {
    Room room;
    if (room_for(t, &room)) return 1;
    for (int64_t b = 0; b < t->count; b++) {
        spans_of(t, b, x, &room);
        length_b[b] = fabricsim_wrapped(t, b, room.d, NULL, NULL, &room.w);
        depth_b[b] = fabricsim_depth(t->anchors, &room.w);
        memcpy(turns_bk + b * t->anchors, room.w.kept, (size_t)t->anchors * sizeof *turns_bk);
    }
    leave(&room);
    return 0;
}
