"""Which fans off a shelf hold on a job, before metal is cut.

fit       whether frames lie on the core's face
marks     which sets no other beats
rows      solver rows of many sets of fans at once
record    the answer: Choice
put       a set into a job
stages    choose: sizes, then the middle of every guess, then draws
"""
