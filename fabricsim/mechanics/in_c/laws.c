/* Scalar laws, as in laws.py. */

#include "terms.h"

void fabricsim_respond(const Term *t, int64_t b, double s, double u[3]) {
    double k = of_law(t, b, 0), over;
    switch (t->law) {
    case ELASTIC:
        over = s - of_law(t, b, 1);
        u[1] = k * over, u[0] = 0.5 * u[1] * over, u[2] = k;
        return;
    case KNITTED: {
        double rest = of_law(t, b, 1), lock = of_law(t, b, 2), lock_more = of_law(t, b, 3) - 1.0;
        double jam = of_law(t, b, 4), jam_more = of_law(t, b, 5) - 1.0, e = s / rest - 1.0, share = e / lock;
        if (share < 0.0) share = 0.0;
        if (share > 1.0) share = 1.0;
        double locked = e - lock, jammed = -e - jam, squared = share * share;
        if (locked < 0.0) locked = 0.0;
        if (jammed < 0.0) jammed = 0.0;
        double stretched = lock * (lock * squared * squared / 12.0 + locked / 3.0) + 0.5 * locked * locked;
        u[0] = k * rest * rest * (0.5 * (e * e + jam_more * jammed * jammed) + lock_more * stretched);
        u[1] = k * rest * (e + lock_more * (lock * squared * share / 3.0 + locked) - jam_more * jammed);
        u[2] = k * (1.0 + lock_more * squared + jam_more * (jammed > 0.0));
        return;
    }
    case TAUT:
        over = s - of_law(t, b, 1);
        if (over < 0.0) over = 0.0;
        u[1] = k * over, u[0] = 0.5 * u[1] * over, u[2] = over > 0.0 ? k : 0.0;
        return;
    case FLOOR:
        over = of_law(t, b, 1) - s;
        if (over < 0.0) over = 0.0;
        u[1] = k * over, u[0] = 0.5 * u[1] * over, u[2] = over > 0.0 ? k : 0.0;
        u[1] = -u[1];
        return;
    default: /* PROPORTIONAL */
        u[0] = k * s, u[1] = k, u[2] = 0.0;
    }
}
