#include "kiosk/rules/normal_loss.h"

#include <math.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>

#include "kiosk/rules/rule.h"

#define FARTHEST 37.0
#define NARROW   1e-13

double normal_loss(double k)
{
    return gsl_ran_ugaussian_pdf(k) - k * gsl_cdf_ugaussian_Q(k);
}

/* G(k) > -k, so that the root is above -loss. */
double normal_loss_inverse(double loss)
{
    double low = -loss, high = FARTHEST;
    if (!isfinite(loss) || loss <= 0)
        return RULE_NULL;
    while (high - low > NARROW * fmax(1, fabs(low))) {
        const double middle = low + (high - low) / 2;
        if (middle <= low || middle >= high)
            break;
        if (normal_loss(middle) > loss)
            low = middle;
        else
            high = middle;
    }
    return low + (high - low) / 2;
}
