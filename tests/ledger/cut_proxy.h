#ifndef TESTS_LEDGER_CUT_PROXY_H
#define TESTS_LEDGER_CUT_PROXY_H

/* Stands between libpq and a PostgreSQL server on a Unix socket, and cuts the line at a COMMIT: what a network does
 * at the worst moment. One connection at a time. */

enum cut { CUT_NEVER, CUT_BEFORE_COMMIT, CUT_AFTER_COMMIT }; /* after: the server did it, nobody hears */

struct cut_proxy;

/* `server`: folder of the server's socket; `folder`: where this one's is made. Port 5432's name in both. */
struct cut_proxy *cut_proxy_create(const char *server, const char *folder);
void cut_proxy_destroy(struct cut_proxy *proxy); /* after the client has closed */
/* Cuts once, at the next COMMIT. */
void cut_proxy_arm(struct cut_proxy *proxy, enum cut cut);
int cut_proxy_cuts(struct cut_proxy *proxy);

#endif
