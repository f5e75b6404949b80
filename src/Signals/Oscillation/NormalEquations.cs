namespace Dancerwatch.Signals.Oscillation;

/// <summary>Solves small symmetric positive-definite systems in place by Cholesky's method.</summary>
internal static class NormalEquations
{
    /// <param name="matrix">n x n, row by row; its lower half is overwritten.</param>
    /// <param name="right">n values; overwritten by the solution.</param>
    /// <returns>False where the matrix is singular to working precision; the outputs are then worthless.</returns>
    public static bool Solve(Span<double> matrix, Span<double> right)
    {
        int n = right.Length;
        for (int i = 0; i < n; i++)
        {
            double diagonal = matrix[i * n + i];
            for (int j = 0; j <= i; j++)
            {
                double sum = matrix[i * n + j];
                for (int k = 0; k < j; k++)
                    sum -= matrix[i * n + k] * matrix[j * n + k];
                if (i != j)
                    matrix[i * n + j] = sum / matrix[j * n + j];
                else if (sum > 1e-12 * diagonal)
                    matrix[i * n + i] = Math.Sqrt(sum);
                else
                    return false;
            }
        }
        for (int i = 0; i < n; i++)
        {
            for (int k = 0; k < i; k++)
                right[i] -= matrix[i * n + k] * right[k];
            right[i] /= matrix[i * n + i];
        }
        for (int i = n - 1; i >= 0; i--)
        {
            for (int k = i + 1; k < n; k++)
                right[i] -= matrix[k * n + i] * right[k];
            right[i] /= matrix[i * n + i];
        }
        return true;
    }
}
