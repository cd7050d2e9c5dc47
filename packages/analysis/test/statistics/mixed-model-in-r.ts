/**
 * A linear mixed model in base R, independent of ours: dense covariance matrices, the criterion written out from its
 * definition, and R's own optimiser. Gives `mixed(y, X, g, s, correlated, reml)`: fixed effects, standard errors, residual
 * variance, intercept variance, (slope variance, covariance,) criterion, and with `df` the
 * Satterthwaite degrees of freedom by numerical derivatives.
 */
export const mixedModelInR = `
mixed <- function(y, X, g, s, correlated, reml, df = FALSE) {
  g <- factor(g); middle <- mean(y); y <- y - middle; n <- length(y); p <- ncol(X); rows <- split(seq_len(n), g); slope <- length(s) == n
  nu <- if (reml) n - p else n
  pieces <- function(theta) {
    L <- if (!slope) matrix(theta[1]) else if (correlated) matrix(c(theta[1], theta[2], 0, theta[3]), 2) else diag(theta)
    D <- L %*% t(L); XX <- matrix(0, p, p); Xy <- numeric(p); yy <- 0; ld <- 0
    for (i in rows) {
      Z <- if (slope) cbind(1, s[i]) else matrix(1, length(i), 1)
      C <- chol(diag(length(i)) + Z %*% D %*% t(Z)); A <- backsolve(C, X[i, , drop = FALSE], transpose = TRUE); b <- backsolve(C, y[i], transpose = TRUE)
      XX <- XX + crossprod(A); Xy <- Xy + crossprod(A, b); yy <- yy + sum(b^2); ld <- ld + 2 * sum(log(diag(C)))
    }
    beta <- solve(XX, Xy); r <- yy - sum(Xy * beta)
    list(D = D, XX = XX, beta = beta, r = r, value = nu * (1 + log(2 * pi * r / nu)) + ld + if (reml) as.numeric(determinant(XX)$modulus) else 0)
  }
  f <- function(theta) pieces(theta)$value
  gradient <- function(theta) sapply(seq_along(theta), function(j) { h <- 1e-3; e <- numeric(length(theta)); e[j] <- h
    (8 * (f(theta + e) - f(theta - e)) - (f(theta + 2 * e) - f(theta - 2 * e))) / (12 * h) })
  theta <- if (!slope) 1 else if (correlated) c(1, 0, 1) else c(1, 1)
  theta <- optim(theta, f, gradient, method = "BFGS", control = list(reltol = 1e-15, maxit = 500))$par
  for (k in 1:2) { G <- gradient(theta)
    H <- sapply(seq_along(theta), function(j) { e <- numeric(length(theta)); e[j] <- 1e-4; (gradient(theta + e) - gradient(theta - e)) / 2e-4 })
    theta <- theta - solve(H, G) }
  q <- pieces(theta); v <- q$r / nu
  c(q$beta + c(middle, numeric(p - 1)), sqrt(v * diag(solve(q$XX))), v, v * q$D[1, 1], if (slope) c(v * q$D[2, 2], v * q$D[1, 2]), q$value, if (df) satterthwaite(pieces, theta, log(v), nu, reml))
}
satterthwaite <- function(pieces, theta, ls, nu, reml) {
  at <- c(theta, ls); k <- length(theta)
  deviance <- function(a) { q <- pieces(a[1:k]); q$value - nu * (1 + log(2 * pi * q$r / nu)) + nu * a[k + 1] + q$r / exp(a[k + 1]) }
  variances <- function(a) exp(a[k + 1]) * diag(solve(pieces(a[1:k])$XX))
  unit <- function(j, h) { e <- numeric(k + 1); e[j] <- h; e }
  slope <- function(f, a, j, h = 1e-3) (8 * (f(a + unit(j, h)) - f(a - unit(j, h))) - (f(a + unit(j, 2 * h)) - f(a - unit(j, 2 * h)))) / (12 * h)
  H <- sapply(1:(k + 1), function(j) sapply(1:(k + 1), function(i) slope(function(b) slope(deviance, b, i, 1e-2), at, j, 1e-2)))
  G <- matrix(sapply(1:(k + 1), function(j) slope(variances, at, j)), ncol = k + 1); A <- 2 * solve((H + t(H)) / 2)
  2 * variances(at)^2 / rowSums((G %*% A) * G)
}
`;
