/* Measures of elements and their derivatives by the spans, as in energies. */

#include "terms.h"

static double distance(const double *d, double *slope, double *h) {
    double u[3], length = unit(d, u), j[3][3];
    if (slope) memcpy(slope, u, sizeof u);
    if (h) {
        unit_jacobian(u, length, j);
        memcpy(h, j, sizeof j);
    }
    return length;
}

static double curvature(const Term *t, int64_t b, const double *d, double *slope, double *h) {
    double ahead[3], behind[3], along[3], turn[3], scale = of_shape(t, b, 0), by[3][6], normal_by[3][9];
    double ahead_length = unit(d, ahead), behind_length = unit(d + 3, behind);
    Normal normal;
    for (int c = 0; c < 3; c++) along[c] = d[c] + d[3 + c], turn[c] = ahead[c] - behind[c];
    normal_of(along, d + 6, &normal);
    double s = dot(turn, normal.n) * scale;
    if (!slope) return s;
    double turn_by[3][9], j[3][3], k[3][3];
    memset(turn_by, 0, sizeof turn_by);
    unit_jacobian(ahead, ahead_length, j);
    unit_jacobian(behind, behind_length, k);
    normal_jacobian(along, d + 6, &normal, by);
    for (int r = 0; r < 3; r++)
        for (int c = 0; c < 3; c++) {
            turn_by[r][c] = j[r][c], turn_by[r][3 + c] = -k[r][c];
            normal_by[r][c] = normal_by[r][3 + c] = by[r][c], normal_by[r][6 + c] = by[r][3 + c];
        }
    for (int q = 0; q < 9; q++) {
        double of_turn = normal.n[0] * turn_by[0][q] + normal.n[1] * turn_by[1][q] + normal.n[2] * turn_by[2][q];
        double of_normal = turn[0] * normal_by[0][q] + turn[1] * normal_by[1][q] + turn[2] * normal_by[2][q];
        slope[q] = (of_turn + of_normal) * scale;
    }
    if (!h) return s;
    double product[9][9], sum[9][9], turning[6][6];
    for (int p = 0; p < 9; p++)
        for (int q = 0; q < 9; q++)
            product[p][q] =
                turn_by[0][p] * normal_by[0][q] + turn_by[1][p] * normal_by[1][q] + turn_by[2][p] * normal_by[2][q];
    normal_curvature(turn, &normal, turning);
    unit_curvature(normal.n, ahead, ahead_length, j);
    unit_curvature(normal.n, behind, behind_length, k);
    static const int by_normal_of[9] = {0, 1, 2, 0, 1, 2, 3, 4, 5}; /* ahead and behind make up what is along */
    for (int p = 0; p < 9; p++)
        for (int q = 0; q < 9; q++) sum[p][q] = product[p][q] + product[q][p];
    for (int r = 0; r < 3; r++)
        for (int c = 0; c < 3; c++) sum[r][c] += j[r][c], sum[3 + r][3 + c] -= k[r][c];
    for (int p = 0; p < 9; p++)
        for (int q = 0; q < 9; q++)
            h[9 * p + q] = (sum[p][q] + turning[by_normal_of[p]][by_normal_of[q]]) * scale;
    return s;
}

static double strain_product(const Term *t, int64_t b, const double *d, double *slope, double *h) {
    double u[4][3], length[4], half[2] = {of_shape(t, b, 0), of_shape(t, b, 1)}, strain[2], flat[12];
    for (int m = 0; m < 4; m++) length[m] = unit(d + 3 * m, u[m]);
    for (int way = 0; way < 2; way++) strain[way] = (length[2 * way] + length[2 * way + 1]) / (2.0 * half[way]) - 1.0;
    double s = strain[0] * strain[1];
    if (!slope) return s;
    for (int m = 0; m < 4; m++)
        for (int c = 0; c < 3; c++) {
            flat[3 * m + c] = u[m][c] * (0.5 / half[m / 2]);
            slope[3 * m + c] = strain[1 - m / 2] * flat[3 * m + c];
        }
    if (!h) return s;
    for (int m = 0; m < 4; m++)
        for (int n = 0; n < 4; n++) {
            double j[3][3];
            if (m == n) unit_jacobian(u[m], length[m], j);
            for (int r = 0; r < 3; r++)
                for (int c = 0; c < 3; c++) {
                    double value = 0.0;
                    if (m == n) value = strain[1 - m / 2] * (0.5 / half[m / 2]) * j[r][c];
                    else if (m / 2 != n / 2) value = flat[3 * m + r] * flat[3 * n + c];
                    h[12 * (3 * m + r) + 3 * n + c] = value;
                }
        }
    return s;
}

static double height(const Term *t, int64_t b, const double *d, double *slope, double *h) {
    const double *up = t->shape_with[0];
    (void)b;
    if (slope) memcpy(slope, up, 3 * sizeof *up);
    if (h) memset(h, 0, 9 * sizeof *h);
    return dot(d, up);
}

static double twist(const Term *t, int64_t b, const double *d, double *slope, double *h) {
    double area = of_shape(t, b, 0), by[3][6], turning[6][6];
    Normal normal;
    normal_of(d + 3, d + 6, &normal);
    double s = dot(d, normal.n) / area;
    if (!slope) return s;
    normal_jacobian(d + 3, d + 6, &normal, by);
    for (int c = 0; c < 3; c++) slope[c] = normal.n[c] / area;
    for (int q = 0; q < 6; q++) slope[3 + q] = (d[0] * by[0][q] + d[1] * by[1][q] + d[2] * by[2][q]) / area;
    if (!h) return s;
    normal_curvature(d, &normal, turning);
    for (int r = 0; r < 3; r++) {
        for (int c = 0; c < 3; c++) h[9 * r + c] = 0.0;
        for (int q = 0; q < 6; q++) h[9 * r + 3 + q] = h[9 * (3 + q) + r] = by[r][q] / area;
    }
    for (int p = 0; p < 6; p++)
        for (int q = 0; q < 6; q++) h[9 * (3 + p) + 3 + q] = turning[p][q] / area;
    return s;
}

static double anchored(const Term *t, int64_t b, const double *d, double *slope, double *h) {
    double offset = of_shape(t, b, 0), chord[3], u[3], by[3][15], part[3][6], j[3][3], jb[3][15], turning[6][6];
    Normal end[2];
    for (int e = 0; e < 2; e++) normal_of(d + 3 + 6 * e, d + 6 + 6 * e, &end[e]);
    for (int c = 0; c < 3; c++) chord[c] = d[c] - offset * (end[1].n[c] - end[0].n[c]);
    double length = unit(chord, u);
    if (!slope) return length;
    for (int r = 0; r < 3; r++)
        for (int c = 0; c < 3; c++) by[r][c] = r == c;
    for (int e = 0; e < 2; e++) {
        normal_jacobian(d + 3 + 6 * e, d + 6 + 6 * e, &end[e], part);
        for (int r = 0; r < 3; r++)
            for (int q = 0; q < 6; q++) by[r][3 + 6 * e + q] = (e ? -offset : offset) * part[r][q];
    }
    for (int q = 0; q < 15; q++) slope[q] = u[0] * by[0][q] + u[1] * by[1][q] + u[2] * by[2][q];
    if (!h) return length;
    unit_jacobian(u, length, j);
    for (int r = 0; r < 3; r++)
        for (int q = 0; q < 15; q++) jb[r][q] = j[r][0] * by[0][q] + j[r][1] * by[1][q] + j[r][2] * by[2][q];
    for (int p = 0; p < 15; p++)
        for (int q = 0; q < 15; q++) h[15 * p + q] = by[0][p] * jb[0][q] + by[1][p] * jb[1][q] + by[2][p] * jb[2][q];
    for (int e = 0; e < 2; e++) {
        normal_curvature(u, &end[e], turning);
        for (int p = 0; p < 6; p++)
            for (int q = 0; q < 6; q++)
                h[15 * (3 + 6 * e + p) + 3 + 6 * e + q] += (e ? -offset : offset) * turning[p][q];
    }
    return length;
}

double fabricsim_measure(const Term *t, int64_t b, const double *d, double *slope, double *h, Wrap *w) {
    switch (t->geometry) {
    case DISTANCE: return distance(d, slope, h);
    case CURVATURE: return curvature(t, b, d, slope, h);
    case STRAIN_PRODUCT: return strain_product(t, b, d, slope, h);
    case HEIGHT: return height(t, b, d, slope, h);
    case ANCHORED: return anchored(t, b, d, slope, h);
    case TWIST: return twist(t, b, d, slope, h);
    default: return fabricsim_wrapped(t, b, d, slope, h, w);
    }
}
