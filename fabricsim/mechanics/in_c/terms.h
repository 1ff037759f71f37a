/* What is handed over of a term, and what its parts promise each other. compiled.py has the same structure. */

#ifndef FABRICSIM_TERMS_H
#define FABRICSIM_TERMS_H

#include <stdint.h>

#include "vectors.h"

#define LAYOUT 4 /* of what is handed over; compiled.py expects the same */

enum { DISTANCE, CURVATURE, STRAIN_PRODUCT, HEIGHT, ANCHORED, TWIST, WRAPPED };
enum { ELASTIC, KNITTED, TAUT, FLOOR, PROPORTIONAL };
enum { ENERGY, GRADIENT, HESSIAN, MATERIAL };

typedef struct {
    int64_t count, points, spans; /* elements; points and spans of each, the two periods of a cell among the points */
    int64_t geometry, law, shares, anchors;
    const int32_t *place;             /* (count, points) */
    const int32_t *pair;              /* (count, points (points + 1) / 2): where the block of two points is added */
    const int32_t *share_span;        /* (shares,) which span takes of which point how much, sorted by span */
    const int32_t *share_point;
    const double *share;
    const double *crossed;            /* (count, spans, 2): periods between the ends of each span; or NULL */
    const double *law_with[6];        /* parameters of the law, and 1 where they differ by element, 0 where not */
    int64_t law_step[6];
    const double *shape_with[3];      /* of the geometry */
    int64_t shape_step[3];
} Term;

static inline double of_law(const Term *t, int64_t b, int i) { return t->law_with[i][b * t->law_step[i]]; }
static inline double of_shape(const Term *t, int64_t b, int i) { return t->shape_with[i][b * t->shape_step[i]]; }

/* What one wrapped float needs; k anchors, q = 3 (3 k - 1) components of spans. */
typedef struct {
    Normal *normal;                                   /* (k,) */
    double *turn;                                     /* (k, 3, 6): d(offset n)/d(right - left, up - down) */
    double *step, *place, *pull, *p_slope, *by_y;     /* (k, 3) each; of ``pull`` and ``p_slope`` the last is by y */
    double *line, *line_f, *aside;                    /* (k, 3), (k,), (k,): each straight line */
    double *inner, *by_span;                          /* (3 k, 3 k), (3 k, q) */
    int32_t *kept, *of_line;                          /* (k,) */
    int32_t *silent;                                  /* (spans,): those by which all derivatives are 0 */
    double y[3];                                      /* along the rulings */
} Wrap;

/* Writes U, U' and U'' of element b at the measure s. */
void fabricsim_respond(const Term *t, int64_t b, double s, double u[3]);

/* Return the measure of element b with the spans d (q,); write its slope (q,) and curvature (q, q), where not NULL. */
double fabricsim_measure(const Term *t, int64_t b, const double *d, double *slope, double *h, Wrap *w);
double fabricsim_wrapped(const Term *t, int64_t b, const double *d, double *slope, double *h, Wrap *w);

/* Returns how deep the straight chord of the float last measured cuts into what lies before it. */
double fabricsim_depth(int64_t k, const Wrap *w);

#endif
