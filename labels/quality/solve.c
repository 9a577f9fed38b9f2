#include "labels/quality/solve.h"

#include <math.h>

static const double SINGULAR = 1e-11; /* of the largest coefficient */

void solve_add(struct equations *equations, const double *left, const double *right, double weight)
{
    for (int i = 0; i < equations->count; i++) {
        for (int k = 0; k < equations->count; k++)
            equations->left[i][k] += weight * left[i] * left[k];
        for (int k = 0; k < equations->sides; k++)
            equations->right[i][k] += weight * left[i] * right[k];
    }
}

static void swap_rows(struct equations *equations, int a, int b)
{
    for (int k = 0; k < equations->count; k++) {
        const double kept = equations->left[a][k];
        equations->left[a][k] = equations->left[b][k];
        equations->left[b][k] = kept;
    }
    for (int k = 0; k < equations->sides; k++) {
        const double kept = equations->right[a][k];
        equations->right[a][k] = equations->right[b][k];
        equations->right[b][k] = kept;
    }
}

static void clear_column(struct equations *equations, int pivot, int row)
{
    const double share = equations->left[row][pivot] / equations->left[pivot][pivot];
    for (int k = pivot; k < equations->count; k++)
        equations->left[row][k] -= share * equations->left[pivot][k];
    for (int k = 0; k < equations->sides; k++)
        equations->right[row][k] -= share * equations->right[pivot][k];
}

static double largest(const struct equations *equations)
{
    double most = 0;
    for (int i = 0; i < equations->count; i++)
        for (int k = 0; k < equations->count; k++)
            most = fmax(most, fabs(equations->left[i][k]));
    return most;
}

bool solve(struct equations *equations)
{
    const double least = SINGULAR * largest(equations);
    for (int pivot = 0; pivot < equations->count; pivot++) {
        int best = pivot;
        for (int row = pivot + 1; row < equations->count; row++)
            if (fabs(equations->left[row][pivot]) > fabs(equations->left[best][pivot]))
                best = row;
        if (!(fabs(equations->left[best][pivot]) > least)) /* NaN too */
            return false;
        swap_rows(equations, pivot, best);
        for (int row = 0; row < equations->count; row++)
            if (row != pivot)
                clear_column(equations, pivot, row);
    }
    for (int row = 0; row < equations->count; row++)
        for (int k = 0; k < equations->sides; k++)
            equations->right[row][k] /= equations->left[row][row];
    return true;
}
