/* What a camera without perspective sees of triangles, sample by sample: the same hits as embree's rays find, which are
   the reference. A triangle covers few samples, so it is quicker to ask each triangle for its samples than each sample
   for its triangle. */

#include <float.h>
#include <stdint.h>
#include <stdlib.h>

typedef struct {
    const double *seen;   /* (v, 3): across and down in pixels from the top left, and how far towards the camera */
    const float *vertex;  /* (v, 3): in space */
    const int32_t *corner; /* (t, 3) */
    const int32_t *asked; /* (count,): triangles that may show, the nearest first, about; of two equally near the first
                             wins */
    int64_t count, first, end, wide, samples; /* rows of pixels from ``first`` to before ``end`` */
    const double *inner;  /* (samples, 2): where in a pixel they lie */
    double begin[3];      /* where rays begin, towards the camera: at the top left, and more a pixel across and down */
    /* of every sample, (rows, wide, samples): */
    int32_t *triangle;    /* -1 for none */
    float *u, *v, *distance;
    float *out;           /* (.., 3): the triangle's own normal, not of unit length */
    /* of every tile of pixels, (tiles down, tiles across): */
    float *farthest;      /* nothing beyond this shows */
    int32_t *drawn;       /* samples drawn since that was found */
} DepthBuffer;

enum { TILE = 8, STALE = 32 }; /* pixels along a tile's edge, and samples drawn after which it is asked anew how far
                                  it is seen (chosen, about as large as triangles) */
static const double NEARER = 1e-3; /* thicknesses by which a triangle must lie beyond a tile to be left out (chosen: a
                                      hundred times what is rounded, so that tiles change nothing that is seen) */

static const double EDGE = 1e-9; /* shares by which triangles reach beyond their edges (chosen: a thousand times what is
                                    rounded): else a sample just on an edge might fall through */

/* A value that grows evenly over the picture. */
typedef struct {
    double here, across, down;
} Even;

static int64_t floor_of(double a) {
    int64_t i = (int64_t)a;
    return i - (a < (double)i);
}

static int64_t ceil_of(double a) {
    int64_t i = (int64_t)a;
    return i + (a > (double)i);
}

static double least(double a, double b) { return a < b ? a : b; }
static double most(double a, double b) { return a > b ? a : b; }

/* Fills in the shares u, v of a triangle's second and third corner, from its first corner on; 0 where it is seen edge
   on, or lies nowhere. */
static int shares_of(const double *a, const double *b, const double *c, Even *u, Even *v) {
    double bx = b[0] - a[0], by = b[1] - a[1], cx = c[0] - a[0], cy = c[1] - a[1];
    double over = 1.0 / (bx * cy - cx * by);
    if (!(over >= -DBL_MAX && over <= DBL_MAX)) return 0;
    *u = (Even){0.0, cy * over, -cx * over};
    *v = (Even){0.0, -by * over, bx * over};
    return 1;
}

/* Narrows low..high to where here + across x >= 0; ``over`` is 1 / across. */
static void narrow(double here, double across, double over, double *low, double *high) {
    if (across > 0.0) *low = most(*low, -here * over);
    else if (across < 0.0) *high = least(*high, -here * over);
    else if (!(here >= 0.0)) *high = -DBL_MAX;
}

static int64_t tiles_across(const DepthBuffer *to) { return (to->wide + TILE - 1) / TILE; }

/* Returns how far a tile is seen, at most. */
static float seen_to(const DepthBuffer *to, int64_t down, int64_t across) {
    int64_t tile = down * tiles_across(to) + across;
    if (to->drawn[tile] < STALE) return to->farthest[tile];
    int64_t row = down * TILE, rows = to->end - to->first, last = row + TILE < rows ? row + TILE : rows;
    int64_t column = across * TILE, beyond = column + TILE < to->wide ? column + TILE : to->wide;
    float farthest = 0.0f;
    for (; row < last; row++) {
        const float *one = to->distance + (row * to->wide + column) * to->samples;
        const float *end = to->distance + (row * to->wide + beyond) * to->samples;
        for (; one < end; one++) farthest = *one > farthest ? *one : farthest;
    }
    to->drawn[tile] = 0;
    return to->farthest[tile] = farthest;
}

/* Returns whether anything as near as ``nearest`` may show in a box of pixels, its rows counted from the first. */
static int may_show(const DepthBuffer *to, double nearest, int64_t top, int64_t bottom, int64_t left, int64_t right) {
    for (int64_t down = top / TILE; down <= bottom / TILE; down++)
        for (int64_t across = left / TILE; across <= right / TILE; across++)
            if (nearest < seen_to(to, down, across) + NEARER) return 1;
    return 0;
}

static void draw(const DepthBuffer *to, int32_t number) {
    const int32_t *corner = to->corner + 3 * number;
    const double *a = to->seen + 3 * corner[0], *b = to->seen + 3 * corner[1], *c = to->seen + 3 * corner[2];
    Even u, v;
    double left = least(a[0], least(b[0], c[0])), right = most(a[0], most(b[0], c[0]));
    double top = least(a[1], least(b[1], c[1])), bottom = most(a[1], most(b[1], c[1]));
    if (!(right >= 0.0 && left <= (double)to->wide && bottom >= (double)to->first && top <= (double)to->end)) return;
    double begin[3];
    begin[0] = to->begin[0] + to->begin[1] * a[0] + to->begin[2] * a[1] - a[2];
    begin[1] = to->begin[0] + to->begin[1] * b[0] + to->begin[2] * b[1] - b[2];
    begin[2] = to->begin[0] + to->begin[1] * c[0] + to->begin[2] * c[1] - c[2];
    if (begin[0] <= 0.0 && begin[1] <= 0.0 && begin[2] <= 0.0) return;
    int64_t first_row = floor_of(most(top, (double)to->first)), first_column = floor_of(most(left, 0.0));
    int64_t last_row = floor_of(least(bottom, (double)(to->end - 1)));
    int64_t last_column = floor_of(least(right, (double)(to->wide - 1)));
    if (!may_show(to, least(begin[0], least(begin[1], begin[2])), first_row - to->first, last_row - to->first,
                  first_column, last_column))
        return;
    if (!shares_of(a, b, c, &u, &v)) return;
    double near_b = b[2] - a[2], near_c = c[2] - a[2];
    Even far = {begin[0], to->begin[1] - near_b * u.across - near_c * v.across,
                to->begin[2] - near_b * u.down - near_c * v.down};
    Even rest = {1.0, -u.across - v.across, -u.down - v.down};
    double over_u = 1.0 / u.across, over_v = 1.0 / v.across, over_rest = 1.0 / rest.across;
    int64_t drawn = 0;
    for (int64_t k = 0; k < to->samples; k++) {
        double in_x = to->inner[2 * k], in_y = to->inner[2 * k + 1];
        double off = a[0] - in_x;
        for (int64_t row = first_row; row <= last_row; row++) {
            double y = (double)row + in_y - a[1];
            double low = (double)first_column - 0.5 - off, high = (double)last_column + 0.5 - off;
            narrow(u.down * y + EDGE, u.across, over_u, &low, &high);
            narrow(v.down * y + EDGE, v.across, over_v, &low, &high);
            narrow(rest.here + rest.down * y + EDGE, rest.across, over_rest, &low, &high);
            if (!(low <= high)) continue;
            int64_t column = ceil_of(low + off), last = floor_of(high + off);
            int64_t at = ((row - to->first) * to->wide + column) * to->samples + k;
            double begin = far.here + far.down * y;
            for (; column <= last; column++, at += to->samples) {
                float distance = (float)(begin + far.across * ((double)column - off));
                if (distance > 0.0f && distance < to->distance[at]) {
                    to->distance[at] = distance;
                    to->triangle[at] = number;
                    drawn++;
                }
            }
        }
    }
    if (!drawn) return;
    for (int64_t down = (first_row - to->first) / TILE; down <= (last_row - to->first) / TILE; down++)
        for (int64_t across = first_column / TILE; across <= last_column / TILE; across++)
            to->drawn[down * tiles_across(to) + across] += (int32_t)drawn;
}

static void tell(const DepthBuffer *to, int64_t at, double x, double y) {
    const int32_t *corner = to->corner + 3 * to->triangle[at];
    const double *a = to->seen + 3 * corner[0];
    Even u = {0.0, 0.0, 0.0}, v = u;
    shares_of(a, to->seen + 3 * corner[1], to->seen + 3 * corner[2], &u, &v);
    to->u[at] = (float)(u.across * (x - a[0]) + u.down * (y - a[1]));
    to->v[at] = (float)(v.across * (x - a[0]) + v.down * (y - a[1]));
    const float *p = to->vertex + 3 * corner[0], *q = to->vertex + 3 * corner[1], *r = to->vertex + 3 * corner[2];
    float one[3], other[3];
    for (int i = 0; i < 3; i++) one[i] = q[i] - p[i], other[i] = r[i] - p[i];
    for (int i = 0; i < 3; i++) {
        int j = (i + 1) % 3, l = (i + 2) % 3;
        to->out[3 * at + i] = one[j] * other[l] - one[l] * other[j];
    }
}

int64_t fabricsim_depth_layout(void) { return 1; }

/* Fills in what every sample of some rows shows: the nearest triangle behind where its ray begins. Returns -1 for want
   of memory. */
int64_t fabricsim_depth_buffer(DepthBuffer *to) {
    int64_t count = (to->end - to->first) * to->wide * to->samples;
    int64_t tiles = (to->end - to->first + TILE - 1) / TILE * tiles_across(to);
    to->farthest = malloc((size_t)(tiles + 1) * sizeof(float));
    to->drawn = calloc((size_t)tiles + 1, sizeof(int32_t));
    if (to->farthest == NULL || to->drawn == NULL) {
        free(to->farthest), free(to->drawn);
        return -1;
    }
    for (int64_t tile = 0; tile < tiles; tile++) to->farthest[tile] = FLT_MAX;
    for (int64_t at = 0; at < count; at++) to->triangle[at] = -1, to->distance[at] = FLT_MAX;
    for (int64_t i = 0; i < to->count; i++) draw(to, to->asked[i]);
    free(to->farthest), free(to->drawn);
    int64_t at = 0;
    for (int64_t row = to->first; row < to->end; row++)
        for (int64_t column = 0; column < to->wide; column++)
            for (int64_t k = 0; k < to->samples; k++, at++)
                if (to->triangle[at] >= 0)
                    tell(to, at, (double)column + to->inner[2 * k], (double)row + to->inner[2 * k + 1]);
    return 0;
}
