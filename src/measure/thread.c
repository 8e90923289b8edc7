/* Thread and stitch arithmetic: sizes, consumption, strength.
 * For src/judge and the numbers per pair. */
#include "measure/thread.h"

#include <math.h>

#define PI 3.14159265358979323846

/* tex times the cotton count: grams of 1000 m at one hank of 840 yd the pound. */
static const double tex_cotton = 590.54;

double thread_diameter(double tex, double density, double packing)
{
    /* tex is micrograms a mm, g/cm3 thousands of micrograms a mm3 */
    double area = tex / (1000 * density * packing);
    return sqrt(4 * area / PI);
}

double thread_ticket_metric(double tex)
{
    return 3000 / tex;
}

double thread_ticket_cotton(double tex)
{
    return 3 * tex_cotton / tex;
}

double thread_tex_of_denier(double denier)
{
    return denier / 9;
}

double thread_tex_of_metric(double count)
{
    return 1000 / count;
}

double thread_per_stitch(int iso4915, double pitch, double thickness)
{
    switch (iso4915) {
    case 101:
        return 3 * pitch + 2 * thickness;
    case 301:
        return 2 * pitch + 2 * thickness;
    case 401:
        return 4 * pitch + 2 * thickness;
    default:
        return (double)NAN;
    }
}

double thread_seam_strength(int iso4915, double thread_strength, double pitch)
{
    switch (iso4915) {
    case 301:
        return 1.5 * thread_strength / pitch;
    case 401:
        return 1.7 * thread_strength / pitch;
    default:
        return (double)NAN;
    }
}
