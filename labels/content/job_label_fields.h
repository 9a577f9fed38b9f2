#ifndef LABELS_CONTENT_JOB_LABEL_FIELDS_H
#define LABELS_CONTENT_JOB_LABEL_FIELDS_H

#include "labels/content/data_identifier.h"
#include "labels/content/job_label.h"

/* The side of job_label that only this room needs. Pure. */

/* Are these the fields of a job's ticket, and none besides? */
bool job_label_is(const struct data_field *fields, size_t count);

/* The ticket of such fields, in any order. FAULT_INPUT: a field that no ticket of ours has. */
bool job_label_from_fields(const struct data_field *fields, size_t count, struct job_label *label, struct fault *fault);

#endif
