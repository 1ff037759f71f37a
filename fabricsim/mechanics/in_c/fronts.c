/* A multifrontal Cholesky (Duff and Reid 1983, ACM Trans. Math. Softw. 9, 302, memory): a sparse matrix is eliminated in
   small dense ones, the fronts, each of which passes what is left on to another; all that is dear is done by the BLAS
   and LAPACK that scipy hands out. */

#include <stdint.h>
#include <string.h>

/* The plan; places are of unknowns. fronts.py has the same structures. */
typedef struct {
    int64_t fronts, unknowns;
    const int32_t *first;     /* (fronts + 1,) first place of each */
    const int64_t *row_start; /* (fronts + 1,) its rows below those, sorted */
    const int32_t *row;
    const int64_t *panel;     /* (fronts + 1,) where its columns are stored */
    const int32_t *last;      /* (fronts,) the last that passes on to it, and the one before that did so too; or -1 */
    const int32_t *before;
} Fronts;

typedef void Potrf(const char *, const int *, void *, const int *, int *);
typedef void Trsm(const char *, const char *, const char *, const char *, const int *, const int *, const void *,
                  const void *, const int *, void *, const int *);
typedef void Syrk(const char *, const char *, const int *, const int *, const void *, const void *, const int *,
                  const void *, void *, const int *);
typedef void Trsv(const char *, const char *, const char *, const int *, const void *, const int *, void *, const int *);
typedef void Gemv(const char *, const int *, const int *, const void *, const void *, const int *, const void *,
                  const int *, const void *, void *, const int *);

typedef struct { /* of one kind of number */
    Potrf *potrf;
    Trsm *trsm;
    Syrk *syrk;
    Trsv *trsv;
    Gemv *gemv;
} Routines;

#define REAL float
#define NAMED(name) name##_s
#include "fronts_in.h"
#undef REAL
#undef NAMED
#define REAL double
#define NAMED(name) name##_d
#include "fronts_in.h"
