/* Reads the files named on the command line and walks their libyaml events:
 * the least that any program over the same files must do. */
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <yaml.h>

static int walk(const char *path)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        return -1;
    yaml_parser_t parser;
    if (!yaml_parser_initialize(&parser)) {
        fclose(file);
        return -1;
    }
    yaml_parser_set_input_file(&parser, file);
    int events = 0;
    for (bool done = false; !done;) {
        yaml_event_t event;
        if (!yaml_parser_parse(&parser, &event)) {
            events = -1;
            break;
        }
        events++;
        done = event.type == YAML_STREAM_END_EVENT;
        yaml_event_delete(&event);
    }
    yaml_parser_delete(&parser);
    fclose(file);
    return events;
}

int main(int argc, char **argv)
{
    int all = 0;
    for (int i = 1; i < argc; i++) {
        int events = walk(argv[i]);
        if (events < 0) {
            fprintf(stderr, "%s cannot be parsed\n", argv[i]);
            return EXIT_FAILURE;
        }
        all += events;
    }
    printf("%d events\n", all);
    return EXIT_SUCCESS;
}
