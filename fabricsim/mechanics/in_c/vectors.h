/* Small vectors and unit normals with their derivatives, as in vectors.py. */

#ifndef FABRICSIM_VECTORS_H
#define FABRICSIM_VECTORS_H

#include <math.h>
#include <string.h>

static inline double dot(const double *a, const double *b) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }

static inline void cross(const double *a, const double *b, double *c) {
    c[0] = a[1] * b[2] - a[2] * b[1];
    c[1] = a[2] * b[0] - a[0] * b[2];
    c[2] = a[0] * b[1] - a[1] * b[0];
}

static inline double unit(const double *d, double *u) {
    double length = sqrt(dot(d, d));
    for (int c = 0; c < 3; c++) u[c] = d[c] / length;
    return length;
}

/* d(unit)/d(vector) = (I - u u') / l */
static inline void unit_jacobian(const double *u, double length, double j[3][3]) {
    for (int a = 0; a < 3; a++)
        for (int b = 0; b < 3; b++) j[a][b] = ((a == b) - u[a] * u[b]) / length;
}

/* Second derivative of f . u by the vector: -(p u' + u p' + (f . u)(I - u u')) / l^2, p = (I - u u') f. */
static inline void unit_curvature(const double *f, const double *u, double length, double k[3][3]) {
    double along = dot(f, u), p[3];
    for (int c = 0; c < 3; c++) p[c] = f[c] - along * u[c];
    for (int a = 0; a < 3; a++)
        for (int b = 0; b < 3; b++)
            k[a][b] = -(p[a] * u[b] + p[b] * u[a] + along * ((a == b) - u[a] * u[b])) / (length * length);
}

/* The unit normal of a x b, with what its derivatives by (a, b) need: swing = d(a x b)/d(a, b). */
typedef struct {
    double n[3], area, swing[3][6];
} Normal;

static inline void normal_of(const double *a, const double *b, Normal *normal) {
    double product[3];
    cross(a, b, product);
    normal->area = unit(product, normal->n);
}

static inline void normal_jacobian(const double *a, const double *b, Normal *normal, double by[3][6]) {
    const double swing[3][6] = {
        {0.0, b[2], -b[1], 0.0, -a[2], a[1]},
        {-b[2], 0.0, b[0], a[2], 0.0, -a[0]},
        {b[1], -b[0], 0.0, -a[1], a[0], 0.0}};
    double j[3][3];
    memcpy(normal->swing, swing, sizeof swing);
    unit_jacobian(normal->n, normal->area, j);
    for (int r = 0; r < 3; r++)
        for (int q = 0; q < 6; q++) by[r][q] = j[r][0] * swing[0][q] + j[r][1] * swing[1][q] + j[r][2] * swing[2][q];
}

/* Second derivative of f . n by (a, b). */
static inline void normal_curvature(const double *f, const Normal *normal, double h[6][6]) {
    double k[3][3], ks[3][6], along = dot(f, normal->n), g[3];
    unit_curvature(f, normal->n, normal->area, k);
    for (int r = 0; r < 3; r++)
        for (int q = 0; q < 6; q++)
            ks[r][q] = k[r][0] * normal->swing[0][q] + k[r][1] * normal->swing[1][q] + k[r][2] * normal->swing[2][q];
    for (int p = 0; p < 6; p++)
        for (int q = 0; q < 6; q++)
            h[p][q] = normal->swing[0][p] * ks[0][q] + normal->swing[1][p] * ks[1][q] + normal->swing[2][p] * ks[2][q];
    for (int c = 0; c < 3; c++) g[c] = (f[c] - along * normal->n[c]) / normal->area;
    const double turn[3][3] = {{0.0, -g[2], g[1]}, {g[2], 0.0, -g[0]}, {-g[1], g[0], 0.0}}; /* g . (da x db) */
    for (int r = 0; r < 3; r++)
        for (int c = 0; c < 3; c++) {
            h[r][3 + c] -= turn[r][c];
            h[3 + r][c] += turn[r][c];
        }
}

#endif
