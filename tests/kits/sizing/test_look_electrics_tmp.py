import pytest
pytestmark = pytest.mark.django_db
def test_page(world, rf):
    from django.template.loader import render_to_string
    from kits.sizing.topics.belt import belt
    from kits.sizing.topics.electrics import electrics
    from tests.kits.sizing.topics.test_charge import context_of
    for key in [("V30-BELT","V30","C14R"),("V30-EV","V30","SEVL"),("S4-DASH","S4","TR6L")]:
        c=context_of(world,key)
        for w in (electrics,belt):
            t=w(c)
            if t: 
                print(t.answer); [print('  R',r.severity,r.code,r.sentence) for r in t.remarks]
                from kits.sizing.topics.figure import Topic
                import json
                assert Topic.from_json(json.loads(json.dumps(t.as_json())))==t
