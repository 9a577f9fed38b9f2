#include <inttypes.h>
#include <string.h>

#include "kiosk/basics/log.h"
#include "kiosk/ledger/writer_parts.h"

/* What other threads may know of the writer's ledger: that it is damaged, how it was found, how long its log is. */

void writer_shut(struct writer *writer, const char *sentence)
{
    pthread_mutex_lock(&writer->lock);
    const bool first = !writer->is_shut;
    writer->is_shut = true;
    if (first)
        (void)span_copy(span_of(sentence), writer->shut_sentence, sizeof writer->shut_sentence);
    pthread_mutex_unlock(&writer->lock);
    if (!first)
        return;
    log_line(LOG_LEVEL_ERROR, "writer", "no act is booked any more: %s", sentence);
    feed_pass(writer->options.feed, "ledger", "{}");
}

bool writer_is_shut(struct writer *writer, char sentence[FAULT_TEXT_SIZE])
{
    pthread_mutex_lock(&writer->lock);
    const bool is_shut = writer->is_shut;
    if (is_shut && sentence)
        memcpy(sentence, writer->shut_sentence, FAULT_TEXT_SIZE);
    pthread_mutex_unlock(&writer->lock);
    return is_shut;
}

void writer_read_opening(struct writer *writer, struct opening *opening)
{
    pthread_mutex_lock(&writer->lock);
    *opening = writer->opening;
    pthread_mutex_unlock(&writer->lock);
}

void writer_read_log(struct writer *writer, struct writer_log *log)
{
    pthread_mutex_lock(&writer->lock);
    *log = writer->log;
    pthread_mutex_unlock(&writer->lock);
}

void writer_watch_log(struct writer *writer, void (*told)(void *context), void *context)
{
    pthread_mutex_lock(&writer->lock);
    writer->told = told;
    writer->told_context = context;
    pthread_mutex_unlock(&writer->lock);
}

static void say_long(struct writer *writer, int64_t bytes, char sentence[FAULT_TEXT_SIZE])
{
    char name[SQL_PROCESS_NAME_SIZE], who[64] = "a program reads from it without an end";
    struct builder builder;
    const int64_t process = sql_find_reader(ledger_sql(writer->ledger), name);
    if (process > 0) {
        builder_init(&builder, who, sizeof who);
        builder_addf(&builder, "process %" PRId64 " (%s) has been reading for long", process, name);
    }
    builder_init(&builder, sentence, FAULT_TEXT_SIZE);
    builder_addf(&builder,
                 "the write-ahead log of the ledger '%s' has grown to %" PRId64
                 " MB, because %s: end it, and the log shrinks by itself",
                 sql_name(ledger_sql(writer->ledger)), bytes / (1024 * 1024), who);
}

/* Warns once when it is long, and each time it has doubled since. */
void writer_look_at_log(struct writer *writer)
{
    struct writer_log log = {.bytes = writer->ledger ? sql_log_bytes(ledger_sql(writer->ledger)) : 0};
    const bool is_long = log.bytes > LEDGER_LOG_LONG;
    if (is_long)
        say_long(writer, log.bytes, log.sentence);
    const bool news = is_long && log.bytes >= 2 * writer->log_told;
    const bool over = !is_long && writer->log_told > 0;
    pthread_mutex_lock(&writer->lock);
    writer->log = log;
    if (is_long && writer->told)
        writer->told(writer->told_context);
    pthread_mutex_unlock(&writer->lock);
    if (news)
        log_line(LOG_LEVEL_WARNING, "writer", "%s", log.sentence);
    if (over)
        log_line(LOG_LEVEL_INFO, "writer", "the write-ahead log is short again");
    if (news || over) {
        writer->log_told = over ? 0 : log.bytes;
        feed_pass(writer->options.feed, "ledger", "{}");
    }
}
