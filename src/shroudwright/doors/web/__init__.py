"""The pages in a browser, and the JSON twin of each.

app       the application: routes, nothing else
guard     what a request must be, and what a page may load
sheets    the pages of a job in the order of the work, and what stands on each
forms     a job's fields as boxes to type in
work      answers worked out beside the server, kept until the job changes
"""
