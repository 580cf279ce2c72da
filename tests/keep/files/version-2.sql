BEGIN TRANSACTION;
CREATE TABLE claim (
    make INTEGER PRIMARY KEY REFERENCES make(id),
    token TEXT NOT NULL,
    owner TEXT NOT NULL
);
CREATE TABLE event (
    make INTEGER NOT NULL REFERENCES make(id),
    seq INTEGER NOT NULL,
    at REAL NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL, digest TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (make, seq)
);
INSERT INTO "event" VALUES(2,1,1700000000.0,'advance','{"at":1700000000.0,"kind":"advance","step":1}','3180af96c33f49e1');
INSERT INTO "event" VALUES(2,2,1700000060.0,'advance','{"at":1700000060.0,"kind":"advance","step":2}','701dbf4aaf3753d5');
INSERT INTO "event" VALUES(2,3,1700000120.0,'advance','{"at":1700000120.0,"kind":"advance","step":3}','bc0c9edffb5e8df7');
INSERT INTO "event" VALUES(2,4,1700000180.0,'advance','{"at":1700000180.0,"kind":"advance","step":4}','b646eb4ba6c6bc94');
INSERT INTO "event" VALUES(2,5,1700000240.0,'dropped loop','{"at":1700000240.0,"kind":"dropped loop","step":5,"loop":2}','52e938f81c5a9c54');
INSERT INTO "event" VALUES(2,6,1700000300.0,'repaired','{"at":1700000300.0,"kind":"repaired","mark":1}','c490e9d0add4ad1f');
INSERT INTO "event" VALUES(2,7,1700000360.0,'note','{"at":1700000360.0,"kind":"note","text":"blue “tail” left long – ½"}','560e3d8a35442336');
INSERT INTO "event" VALUES(2,8,1700000420.0,'advance','{"at":1700000420.0,"kind":"advance","step":5}','cb7a6d1d2ea5d8b0');
INSERT INTO "event" VALUES(2,9,1700000480.0,'undo','{"at":1700000480.0,"kind":"undo"}','f9639995933bf1c5');
INSERT INTO "event" VALUES(2,10,1700000540.0,'new ball','{"at":1700000540.0,"kind":"new ball","loops":30}','5fcb577e9d791291');
INSERT INTO "event" VALUES(2,11,1700000600.0,'pause','{"at":1700000600.0,"kind":"pause"}','7e19ba28709f4235');
INSERT INTO "event" VALUES(2,12,1700000660.0,'resume','{"at":1700000660.0,"kind":"resume"}','e5d031cbd7f6f546');
CREATE TABLE make (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    plan TEXT NOT NULL,
    created REAL NOT NULL
, extra TEXT, digest TEXT NOT NULL DEFAULT '', touched INTEGER NOT NULL DEFAULT 0);
INSERT INTO "make" VALUES(1,'harbour-cardigan','{"design":"cardigan","title":"Harbour cardigan","size":"M","craft":"loop yarn","hand":"right","gauge":{"loops_per_10cm":5.0,"rows_per_10cm":3.75},"measures":{"bust":94.0,"ease":7.6,"body_height":35.4,"armhole_depth":21.4,"neck_width":16.0,"underarm":6.0,"back_neck_to_cuff":74.3,"upper_arm":27.9,"cuff":24.7,"overlap":0.0},"rows":{},"counts":{},"ball_loops":null,"scale":1.0,"pattern":null}',1700000000.0,NULL,'8d0d6b047c3f6d1f',1);
INSERT INTO "make" VALUES(2,'porch-throw','{"design":"throw","title":"Porch throw","size":"","craft":"loop yarn","hand":"right","gauge":{"loops_per_10cm":5.0,"rows_per_10cm":3.75},"measures":{"width":100.0,"height":130.0},"rows":{},"counts":{},"ball_loops":40,"scale":1.0,"pattern":null}',1700000000.0,NULL,'de9cfdf4382e7c68',2);
COMMIT;
