/* Thread and stitch arithmetic, sources in tests/reference/thread.c. tex, mm, N.
 * An unknown value (NaN) gives NaN; sizes of 0 and less are the caller's to
 * refuse. */
#ifndef CORDWAIN_MEASURE_THREAD_H
#define CORDWAIN_MEASURE_THREAD_H

/* Diameter mm of a thread of `tex`, fibre density in g/cm3, packing 0..1:
 * sqrt(4 tex / (1000 pi density packing)). */
double thread_diameter(double tex, double density, double packing);
/* Metric ticket number 3000/tex; cotton ticket 3·590.54/tex; tex of a denier
 * (denier/9); tex of a metric count in m/g (1000/count, no needle size). */
double thread_ticket_metric(double tex);
double thread_ticket_cotton(double tex);
double thread_tex_of_denier(double denier);
double thread_tex_of_metric(double count);
/* Thread in one stitch, mm: 101 3N+2T, 301 2N+2T, 401 4N+2T (N stitch length,
 * T thickness); NaN for other ISO 4915 numbers. */
double thread_per_stitch(int iso4915, double pitch, double thickness);
/* Seam strength N/mm from the thread: k·strength/pitch, k 1.5 (301), 1.7 (401);
 * NaN for other types. */
double thread_seam_strength(int iso4915, double thread_strength, double pitch);

#endif
