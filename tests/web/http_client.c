#include "tests/web/http_client.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

#include <cmocka.h>

enum { HEAD_SIZE = 8192, ANSWER_MOST = 64 * 1024 * 1024 };

int http_connect(uint16_t port)
{
    const struct sockaddr_in address = {
        .sin_family = AF_INET, .sin_port = htons(port), .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    const struct timeval wait = {.tv_sec = HTTP_WAIT_SECONDS};
    const int socket_fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_true(socket_fd >= 0);
    setsockopt(socket_fd, SOL_SOCKET, SO_RCVTIMEO, &wait, sizeof wait);
    setsockopt(socket_fd, SOL_SOCKET, SO_SNDTIMEO, &wait, sizeof wait);
    if (connect(socket_fd, (const struct sockaddr *)&address, sizeof address) != 0)
        fail_msg("cannot connect to port %u", (unsigned)port);
    return socket_fd;
}

void http_send(int socket_fd, const void *bytes, size_t length)
{
    const char *at = bytes;
    while (length > 0) {
        const ssize_t sent = send(socket_fd, at, length, MSG_NOSIGNAL);
        if (sent <= 0)
            return; /* the server closed; the answer tells */
        at += sent;
        length -= (size_t)sent;
    }
}

int http_begin(uint16_t port, const char *method, const char *path, const char *headers, const void *body,
               size_t length)
{
    char head[HEAD_SIZE], host[40] = "", size[48] = "";
    if (!strstr(headers, "Host:"))
        snprintf(host, sizeof host, "Host: 127.0.0.1:%u\r\n", (unsigned)port);
    if (body && !strstr(headers, "Content-Length:") && !strstr(headers, "Transfer-Encoding:"))
        snprintf(size, sizeof size, "Content-Length: %zu\r\n", length);
    const int count = snprintf(head, sizeof head, "%s %s HTTP/1.1\r\n%s%s%s%s\r\n", method, path, host,
                               strstr(headers, "Connection:") ? "" : "Connection: close\r\n", size, headers);
    assert_true(count > 0 && (size_t)count < sizeof head);
    const int socket_fd = http_connect(port);
    http_send(socket_fd, head, (size_t)count);
    if (body)
        http_send(socket_fd, body, length);
    return socket_fd;
}

/* Everything until the server closes, ended with NUL. */
static char *receive_all(int socket_fd, size_t *length)
{
    size_t size = 65536;
    char *text = malloc(size);
    *length = 0;
    assert_non_null(text);
    for (;;) {
        if (size - *length < 4096) {
            size *= 2;
            assert_true(size <= ANSWER_MOST);
            text = realloc(text, size);
            assert_non_null(text);
        }
        const ssize_t got = recv(socket_fd, text + *length, size - *length - 1, 0);
        if (got < 0 && *length == 0)
            fail_msg("no answer within %d s", HTTP_WAIT_SECONDS);
        if (got <= 0)
            break;
        *length += (size_t)got;
    }
    text[*length] = '\0';
    return text;
}

static void join_chunks(struct http_answer *answer)
{
    char *from = answer->body, *to = answer->body;
    for (;;) {
        char *end = NULL;
        const size_t chunk = strtoul(from, &end, 16);
        assert_memory_equal(end, "\r\n", 2);
        if (chunk == 0)
            break;
        memmove(to, end + 2, chunk);
        to += chunk;
        from = end + 2 + chunk + 2;
        assert_true(from <= answer->body + answer->length);
    }
    *to = '\0';
    answer->length = (size_t)(to - answer->body);
}

void http_finish(int socket_fd, struct http_answer *answer)
{
    size_t length = 0;
    char *text = receive_all(socket_fd, &length), value[40];
    close(socket_fd);
    char *end = strstr(text, "\r\n\r\n");
    if (!end || sscanf(text, "HTTP/1.1 %d", &answer->status) != 1) {
        fail_msg("no HTTP answer but %zu bytes: %.200s", length, text);
        return;
    }
    end[2] = '\0';
    if (answer->status == 100) /* "go on", then the answer itself */
        fail_msg("unexpected 100 Continue");
    answer->head = text;
    answer->body = end + 4;
    answer->length = length - (size_t)(answer->body - text);
    if (http_header(answer, "Transfer-Encoding", value, sizeof value) && strcasecmp(value, "chunked") == 0)
        join_chunks(answer);
}

void http_request(uint16_t port, const char *method, const char *path, const char *headers, const void *body,
                  size_t length, struct http_answer *answer)
{
    http_finish(http_begin(port, method, path, headers, body, length), answer);
}

void http_get(uint16_t port, const char *path, struct http_answer *answer)
{
    http_request(port, "GET", path, "", NULL, 0, answer);
}

json_t *http_get_json(uint16_t port, const char *path)
{
    struct http_answer answer = {.status = 0};
    http_get(port, path, &answer);
    json_t *body = json_loadb(answer.body, answer.length, 0, NULL);
    if (answer.status != 200 || !body)
        fail_msg("%s: status %d, %s", path, answer.status, answer.body);
    http_clear(&answer);
    return body;
}

void http_post(uint16_t port, const char *path, const char *json, struct http_answer *answer)
{
    http_request(port, "POST", path, "Content-Type: application/json\r\n", json, strlen(json), answer);
}

void http_clear(struct http_answer *answer)
{
    free(answer->head); /* the body lies behind it */
    *answer = (struct http_answer){0};
}

bool http_header(const struct http_answer *answer, const char *name, char *value, size_t size)
{
    const size_t length = strlen(name);
    for (const char *line = answer->head; line; line = strstr(line, "\r\n")) {
        line += line == answer->head ? 0 : 2;
        if (strncasecmp(line, name, length) == 0 && line[length] == ':') {
            const char *at = line + length + 1 + strspn(line + length + 1, " ");
            snprintf(value, size, "%.*s", (int)strcspn(at, "\r"), at);
            return true;
        }
    }
    return false;
}

/* Event streams */

/* One byte; false at the end of the connection. */
static bool receive_byte(struct event_stream *stream, char *byte)
{
    const ssize_t got = recv(stream->socket_fd, byte, 1, 0);
    if (got < 0)
        fail_msg("no event within %d s", HTTP_WAIT_SECONDS);
    return got == 1;
}

static bool receive_line(struct event_stream *stream, char *line, size_t size)
{
    size_t length = 0;
    char byte;
    while (receive_byte(stream, &byte)) {
        if (byte == '\n') {
            if (length > 0 && line[length - 1] == '\r')
                length--;
            line[length] = '\0';
            return true;
        }
        assert_true(length + 1 < size);
        line[length++] = byte;
    }
    return false;
}

int event_open(struct event_stream *stream, uint16_t port, const char *path, const char *headers)
{
    char line[1024];
    int status = 0;
    *stream = (struct event_stream){.socket_fd = http_begin(port, "GET", path, headers, NULL, 0)};
    assert_true(receive_line(stream, line, sizeof line));
    assert_int_equal(sscanf(line, "HTTP/1.1 %d", &status), 1);
    while (receive_line(stream, line, sizeof line) && line[0])
        if (strcasecmp(line, "Transfer-Encoding: chunked") == 0)
            stream->in_chunks = true;
    return status;
}

/* One byte of the stream's own text. */
static bool stream_byte(struct event_stream *stream, char *byte)
{
    char line[64];
    if (stream->in_chunks && stream->chunk_left == 0) {
        if (!receive_line(stream, line, sizeof line))
            return false;
        if (line[0] == '\0' && !receive_line(stream, line, sizeof line)) /* the line end after a chunk */
            return false;
        stream->chunk_left = strtoul(line, NULL, 16);
        if (stream->chunk_left == 0)
            return false;
    }
    if (!receive_byte(stream, byte))
        return false;
    if (stream->in_chunks)
        stream->chunk_left--;
    return true;
}

static void take_line(const char *line, struct event *event)
{
    if (strncmp(line, "id: ", 4) == 0)
        snprintf(event->id, sizeof event->id, "%s", line + 4);
    else if (strncmp(line, "event: ", 7) == 0)
        snprintf(event->name, sizeof event->name, "%s", line + 7);
    else if (strncmp(line, "data: ", 6) == 0)
        snprintf(event->data, sizeof event->data, "%s", line + 6);
    else if (line[0] == ':')
        event->comment = true;
    else if (strncmp(line, "retry: ", 7) != 0)
        fail_msg("not a line of an event stream: %s", line);
}

bool event_next(struct event_stream *stream, struct event *event)
{
    char byte;
    *event = (struct event){.comment = false};
    stream->length = 0;
    while (stream_byte(stream, &byte)) {
        if (byte != '\n') {
            assert_true(stream->length + 1 < sizeof stream->text);
            stream->text[stream->length++] = byte;
            continue;
        }
        stream->text[stream->length] = '\0';
        if (stream->length == 0)
            return true;
        take_line(stream->text, event);
        stream->length = 0;
    }
    return false;
}

void event_close(struct event_stream *stream)
{
    close(stream->socket_fd);
}
