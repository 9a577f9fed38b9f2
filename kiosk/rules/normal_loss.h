#ifndef KIOSK_RULES_NORMAL_LOSS_H
#define KIOSK_RULES_NORMAL_LOSS_H

/* The loss of a standard normal Z: G(k) = E[(Z - k)+] = phi(k) - k (1 - Phi(k)), what a stock of k standard deviations
 * above the mean leaves short on average. It falls from infinity to 0. Silver, Pyke and Thomas, Inventory and
 * Production Management in Supply Chains, 4th ed. 2017 (from memory). */

double normal_loss(double k);

/* The k where G(k) is `loss` > 0, by halving a bracket until it is narrower than 1e-13 times max(1, |k|). Losses below
 * that of k = 37, the smallest that can be told from 0 there, give 37. RULE_NULL: `loss` is not a number above 0. */
double normal_loss_inverse(double loss);

#endif
