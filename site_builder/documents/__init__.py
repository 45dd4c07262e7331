"""The paper that goes with a quilt: handover sheet, letter, labels and tags, insurance list, loan sheet."""
