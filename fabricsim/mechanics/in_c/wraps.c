/* The length of a float that goes round what bulges in its way, as in energies/wrap.py. */

#include "terms.h"

/* Which anchors are on the convex chain behind all: all that lie before the line between their neighbours go, at once,
   until none does. */
static void chain(int64_t k, const double *y, Wrap *w) {
    for (int c = 0; c < 3; c++) w->place[c] = 0.0;
    for (int64_t i = 1; i < k; i++)
        for (int c = 0; c < 3; c++) w->place[3 * i + c] = w->place[3 * i - 3 + c] + w->step[3 * i - 3 + c];
    for (int64_t i = 0; i < k; i++) w->kept[i] = 1;
    for (int any = 1; any;) {
        any = 0;
        for (int64_t i = 1, last = 0; i < k - 1; i++) {
            if (w->kept[i] != 1) continue;
            int64_t next = i + 1;
            double before[3], after[3], turn[3];
            while (!w->kept[next]) next++;
            for (int c = 0; c < 3; c++) {
                before[c] = w->place[3 * i + c] - w->place[3 * last + c];
                after[c] = w->place[3 * next + c] - w->place[3 * i + c];
            }
            cross(before, after, turn);
            if (dot(turn, y) >= 0.0) w->kept[i] = 2, any = 1; /* goes, but is still a neighbour in this round */
            last = i;
        }
        for (int64_t i = 0; i < k; i++) w->kept[i] = w->kept[i] == 1;
    }
}

double fabricsim_depth(int64_t k, const Wrap *w) {
    const double *end = w->place + 3 * (k - 1);
    double chord[3], aside = dot(end, w->y), least = 0.0;
    for (int c = 0; c < 3; c++) chord[c] = end[c] - aside * w->y[c];
    for (int64_t i = 1; i < k - 1; i++) {
        double turn[3], behind;
        cross(w->place + 3 * i, chord, turn);
        behind = dot(turn, w->y);
        if (behind < least) least = behind;
    }
    return -least / sqrt(dot(chord, chord));
}

double fabricsim_wrapped(const Term *t, int64_t b, const double *d, double *slope, double *h, Wrap *w) {
    int64_t k = t->anchors, z = 3 * k, q = 3 * (3 * k - 1), ahead = 3 * (k - 1), lines = 0;
    double offset = of_shape(t, b, 0), ups[3] = {0.0, 0.0, 0.0}, y[3], chord[3] = {0.0, 0.0, 0.0}, p = 0.0;
    for (int64_t i = 0; i < k; i++) {
        normal_of(d + ahead + 6 * i, d + ahead + 6 * i + 3, &w->normal[i]);
        for (int c = 0; c < 3; c++) ups[c] += d[ahead + 6 * i + 3 + c];
    }
    double rulings = unit(ups, y);
    memcpy(w->y, y, sizeof w->y);
    for (int64_t i = 0; i < k - 1; i++)
        for (int c = 0; c < 3; c++)
            w->step[3 * i + c] = d[3 * i + c] - offset * (w->normal[i + 1].n[c] - w->normal[i].n[c]);
    chain(k, y, w);
    for (int64_t i = 0; i < k - 1; i++) {
        if (w->kept[i]) {
            for (int c = 0; c < 3; c++) w->line[3 * lines + c] = 0.0;
            lines++;
        }
        w->of_line[i] = (int32_t)(lines - 1);
        for (int c = 0; c < 3; c++) {
            w->line[3 * (lines - 1) + c] += w->step[3 * i + c];
            chord[c] += w->step[3 * i + c];
        }
    }
    for (int64_t l = 0; l < lines; l++) {
        const double *line = w->line + 3 * l;
        double square;
        w->aside[l] = dot(line, y);
        square = dot(line, line) - w->aside[l] * w->aside[l];
        w->line_f[l] = sqrt(square < 0.0 ? 0.0 : square);
        p += w->line_f[l];
    }
    double aside = dot(chord, y), s = sqrt(p * p + aside * aside);
    if (!slope) return s;

    /* Where the yarn goes straight past an anchor, how its stitch is turned does not matter: the span across it says
       nothing, and need not be looked at. */
    for (int64_t i = 0; i < k; i++) w->silent[k - 1 + 2 * i] = !w->kept[i];

    /* By the steps and y: p_slope of p alone, pull of s. */
    double *by_y = w->by_y, sum_y[3] = {0.0, 0.0, 0.0};
    for (int64_t l = 0; l < lines; l++)
        for (int c = 0; c < 3; c++) {
            by_y[3 * l + c] = -(w->aside[l] / w->line_f[l]) * w->line[3 * l + c];
            sum_y[c] += by_y[3 * l + c];
        }
    for (int64_t i = 0; i < k; i++)
        for (int c = 0; c < 3; c++) {
            double by_p = sum_y[c], by_aside = chord[c];
            if (i < k - 1) {
                int l = w->of_line[i];
                by_p = (w->line[3 * l + c] - w->aside[l] * y[c]) / w->line_f[l];
                by_aside = y[c];
            }
            w->p_slope[3 * i + c] = by_p;
            w->pull[3 * i + c] = (p * by_p + aside * by_aside) / s;
        }

    double by_ups[3][3], by[3][6];
    unit_jacobian(y, rulings, by_ups);
    for (int64_t i = 0; i < k; i++) {
        const double *a = d + ahead + 6 * i;
        if (!w->kept[i]) continue;
        normal_jacobian(a, a + 3, &w->normal[i], by);
        for (int r = 0; r < 3; r++)
            for (int e = 0; e < 6; e++) w->turn[18 * i + 6 * r + e] = offset * by[r][e];
    }
    for (int64_t e = 0; e < ahead; e++) slope[e] = w->pull[e];
    for (int64_t i = 0; i < k; i++) {
        double v[3];
        for (int c = 0; c < 3; c++)
            v[c] = (i < k - 1 ? w->pull[3 * i + c] : 0.0) - (i > 0 ? w->pull[3 * i - 3 + c] : 0.0);
        for (int e = 0; e < 6; e++) {
            const double *turn = w->turn + 18 * i + e;
            double sum = w->kept[i] ? v[0] * turn[0] + v[1] * turn[6] + v[2] * turn[12] : 0.0;
            if (e >= 3)
                for (int c = 0; c < 3; c++) sum += w->pull[ahead + c] * by_ups[c][e - 3];
            slope[ahead + 6 * i + e] = sum;
        }
    }
    if (!h) return s;

    for (int64_t i = 0; i < k; i++)
        for (int64_t j = i; j < k; j++) {
            int64_t l = i < k - 1 ? w->of_line[i] : -1, n = j < k - 1 ? w->of_line[j] : -1;
            for (int r = 0; r < 3; r++)
                for (int c = 0; c < 3; c++) {
                    double curve = 0.0, mixed = 0.0;
                    if (n >= 0 && l == n) { /* steps of one line */
                        const double *along = w->p_slope + 3 * i;
                        curve = ((r == c) - y[r] * y[c] - along[r] * along[c]) / w->line_f[l];
                    } else if (n < 0 && l >= 0) { /* a step and y */
                        const double *line = w->line + 3 * l, *along = w->p_slope + 3 * i;
                        curve = -(y[r] * line[c] + w->aside[l] * (r == c) + along[r] * by_y[3 * l + c]) / w->line_f[l];
                        mixed = aside * (r == c);
                    } else if (l < 0) { /* y and y */
                        for (int64_t m = 0; m < lines; m++) {
                            const double *line = w->line + 3 * m, *beside = by_y + 3 * m;
                            curve -= (line[r] * line[c] + beside[r] * beside[c]) / w->line_f[m];
                        }
                    }
                    double ar = i < k - 1 ? y[r] : chord[r], ac = j < k - 1 ? y[c] : chord[c];
                    double value = (w->p_slope[3 * i + r] * w->p_slope[3 * j + c] + p * curve + ar * ac + mixed
                                    - w->pull[3 * i + r] * w->pull[3 * j + c]) / s;
                    w->inner[z * (3 * i + r) + 3 * j + c] = w->inner[z * (3 * j + c) + 3 * i + r] = value;
                }
        }

    /* inner x d(steps, y)/d(spans), then the same from the left. */
    for (int64_t r = 0; r < z; r++) {
        const double *inner = w->inner + z * r;
        double *row = w->by_span + q * r, of_ups[3];
        for (int e = 0; e < 3; e++)
            of_ups[e] = inner[ahead] * by_ups[0][e] + inner[ahead + 1] * by_ups[1][e] + inner[ahead + 2] * by_ups[2][e];
        memcpy(row, inner, (size_t)ahead * sizeof *row);
        for (int64_t i = 0; i < k; i++) {
            double v[3];
            for (int c = 0; c < 3; c++)
                v[c] = (i < k - 1 ? inner[3 * i + c] : 0.0) - (i > 0 ? inner[3 * i - 3 + c] : 0.0);
            for (int e = 0; e < 6; e++) {
                const double *turn = w->turn + 18 * i + e;
                double by_normal = w->kept[i] ? v[0] * turn[0] + v[1] * turn[6] + v[2] * turn[12] : 0.0;
                row[ahead + 6 * i + e] = by_normal + (e < 3 ? 0.0 : of_ups[e - 3]);
            }
        }
    }
    memcpy(h, w->by_span, (size_t)(ahead * q) * sizeof *h);
    const double *of_y = w->by_span + q * ahead;
    for (int64_t i = 0; i < k; i++)
        for (int e = 0; e < 6; e++) {
            const double *turn = w->turn + 18 * i + e;
            double *row = h + q * (ahead + 6 * i + e);
            memset(row, 0, (size_t)q * sizeof *row);
            for (int c = 0; c < 3; c++) {
                const double *on = w->by_span + q * (3 * i + c);
                if (w->kept[i] && i < k - 1)
                    for (int64_t f = 0; f < q; f++) row[f] += turn[6 * c] * on[f];
                if (w->kept[i] && i > 0)
                    for (int64_t f = 0; f < q; f++) row[f] -= turn[6 * c] * on[f - 3 * q];
                if (e >= 3)
                    for (int64_t f = 0; f < q; f++) row[f] += by_ups[c][e - 3] * of_y[q * c + f];
            }
        }

    /* What comes of the second derivatives of normals and rulings. */
    double turning[6][6], bent[3][3];
    unit_curvature(w->pull + ahead, y, rulings, bent);
    for (int64_t i = 0; i < k; i++) {
        double f[3];
        for (int64_t j = 0; j < k; j++)
            for (int r = 0; r < 3; r++)
                for (int c = 0; c < 3; c++) h[q * (ahead + 6 * i + 3 + r) + ahead + 6 * j + 3 + c] += bent[r][c];
        if (!w->kept[i]) continue;
        for (int c = 0; c < 3; c++)
            f[c] = offset * ((i < k - 1 ? w->pull[3 * i + c] : 0.0) - (i > 0 ? w->pull[3 * i - 3 + c] : 0.0));
        normal_curvature(f, &w->normal[i], turning);
        for (int r = 0; r < 6; r++)
            for (int c = 0; c < 6; c++) h[q * (ahead + 6 * i + r) + ahead + 6 * i + c] += turning[r][c];
    }
    return s;
}
