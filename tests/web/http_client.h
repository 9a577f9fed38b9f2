#ifndef TESTS_WEB_HTTP_CLIENT_H
#define TESTS_WEB_HTTP_CLIENT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <jansson.h>

/* A blocking HTTP/1.1 client over a socket, no more than the tests need. Time-outs and broken answers fail the test. */

enum { HTTP_WAIT_SECONDS = 20, EVENT_TEXT = 8192 };

struct http_answer {
    int status;
    char *head; /* status line and header lines */
    char *body; /* ended with NUL, chunks joined */
    size_t length;
};

int http_connect(uint16_t port);
void http_send(int socket_fd, const void *bytes, size_t length);

/* Sends one request with "Host: 127.0.0.1:PORT" and "Connection: close" unless `headers` (lines ended with \r\n, may
 * be "") names them; `body` NULL: none. The answer is read until the server closes. */
void http_request(uint16_t port, const char *method, const char *path, const char *headers, const void *body,
                  size_t length, struct http_answer *answer);
void http_get(uint16_t port, const char *path, struct http_answer *answer);
void http_post(uint16_t port, const char *path, const char *json, struct http_answer *answer);
/* The body of a GET that answers 200 with JSON, a new value; anything else fails the test. */
json_t *http_get_json(uint16_t port, const char *path);
/* In two halves, for requests that hang. */
int http_begin(uint16_t port, const char *method, const char *path, const char *headers, const void *body,
               size_t length);
void http_finish(int socket_fd, struct http_answer *answer);
void http_clear(struct http_answer *answer);

/* The value of a header line; false when there is none. */
bool http_header(const struct http_answer *answer, const char *name, char *value, size_t size);

/* An event stream that is being read. */
struct event_stream {
    int socket_fd;
    char text[65536]; /* received, chunk headers taken out */
    size_t length;
    size_t chunk_left; /* bytes of the present chunk that are still to come */
    bool in_chunks;
};
struct event {
    char id[24], name[24];
    char data[EVENT_TEXT];
    bool comment; /* a comment line and nothing else */
};
/* Asks for `path` and reads the answer's head; returns its status. */
int event_open(struct event_stream *stream, uint16_t port, const char *path, const char *headers);
/* The next event; false: the server ended the stream. */
bool event_next(struct event_stream *stream, struct event *event);
void event_close(struct event_stream *stream);

#endif
